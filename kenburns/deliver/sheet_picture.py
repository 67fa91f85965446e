"""The contact sheet as one picture."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PIL import Image

from ..cards.typeface import SEMI_BOLD
from .sheet import RefusedFile, Sheet
from .sheet_marks import GROUND, INK, LINE, QUIET
from .sheet_tile import PICTURE_HEIGHT, below, block, entry_tile, scale_of, text_picture, unused_tile

LEAST_WIDTH = 320
"""Narrower sheets hold no readable tile."""

EASY_HEIGHT = 4.0
"""Most of its width that a sheet should be high: more columns before more height."""

MOST_COLUMNS = 10


def sheet_picture(sheet: Sheet, width: int = 2400) -> Image.Image:
    """Return the sheet as an RGB picture, `width` px wide and as high as it needs.

    Slots stand in reading order in two columns, in up to ten where there are many, so that hundreds stay within
    bounds. ValueError below 320 px.
    """
    if width < LEAST_WIDTH:
        raise ValueError(f"a contact sheet is at least {LEAST_WIDTH} px wide, not {width}")
    margin = round(width / 30)
    inner = width - 2 * margin
    parts = below([_header(sheet, inner), *_slots(sheet, inner), *_left_over(sheet, inner)], margin)
    page = Image.new("RGB", (width, parts.height + 2 * margin), GROUND)
    page.paste(parts, (margin, margin))
    return page


def columns_for(count: int, width: int) -> int:
    """Return how many columns keep `count` tiles within the easy height: 2 to 10, fewer where tiles grow too narrow."""
    most = max(min(MOST_COLUMNS, width // 200), 1)
    return next((n for n in range(min(2, most), most) if _height(count, n, width) <= EASY_HEIGHT * width), most)


def _height(count: int, columns: int, width: int) -> float:
    """Estimate a grid's height, with six lines of text to a tile."""
    tile = width / columns
    return -(-count // columns) * (PICTURE_HEIGHT * tile + 6 * 1.8 * scale_of(round(tile)).text)


def _header(sheet: Sheet, width: int) -> Image.Image:
    size = max(width // 120, 12)
    words = text_picture(
        [
            block(sheet.film, round(2.4 * size), INK, width, SEMI_BOLD),
            block(sheet.summary, round(1.3 * size), QUIET, width),
        ],
        width,
        round(2.4 * size),
    )
    return below([words, _rule(width)], size)


def _rule(width: int) -> Image.Image:
    return Image.new("RGB", (width, max(width // 1200, 1)), LINE)


def _slots(sheet: Sheet, width: int) -> Iterable[Image.Image]:
    if sheet.entries:
        columns = columns_for(len(sheet.entries), width)
        tile_width, gap = _tile_width(width, columns)
        yield _grid([entry_tile(entry, tile_width) for entry in sheet.entries], columns, gap)


def _left_over(sheet: Sheet, width: int) -> Iterable[Image.Image]:
    if sheet.unused:
        columns = min(columns_for(len(sheet.unused), width) + 2, max(width // 200, 1))
        tile_width, gap = _tile_width(width, columns)
        tiles = [unused_tile(still, tile_width) for still in sheet.unused]
        yield below([_heading("Not used", width), _grid(tiles, columns, gap)], gap)
    if sheet.refused:
        yield below([_heading("Could not be read", width), _refused(sheet.refused, width)], max(width // 80, 8))
    if sheet.notice:
        size = max(width // 110, 12)
        yield text_picture([block(sheet.notice, size, QUIET, width)], width, size)


def _tile_width(width: int, columns: int) -> tuple[int, int]:
    """Return the width of a tile and the gap between two."""
    gap = max(round(width / columns / 18), 8)
    return (width - (columns - 1) * gap) // columns, gap


def _grid(tiles: Sequence[Image.Image], columns: int, gap: int) -> Image.Image:
    """Lay tiles in rows, each as high as its highest tile."""
    rows = [tiles[start : start + columns] for start in range(0, len(tiles), columns)]
    return below([_row(row, gap) for row in rows], round(1.5 * gap))


def _row(tiles: Sequence[Image.Image], gap: int) -> Image.Image:
    row = Image.new("RGB", (sum(tile.width + gap for tile in tiles) - gap, max(tile.height for tile in tiles)), GROUND)
    for index, tile in enumerate(tiles):
        row.paste(tile, (index * (tile.width + gap), 0))
    return row


def _heading(text: str, width: int) -> Image.Image:
    size = max(width // 90, 13)
    return below([_rule(width), text_picture([block(text, size, INK, width, SEMI_BOLD)], width, size)], size)


def _refused(files: Sequence[RefusedFile], width: int) -> Image.Image:
    size = max(width // 130, 11)
    lines = (block(f"{file.name} — {file.reason}", size, QUIET, width) for file in files)
    return text_picture(list(lines), width, size)
