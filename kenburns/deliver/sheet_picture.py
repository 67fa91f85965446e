"""The contact sheet as one picture."""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Self

from PIL import Image

from ..cards.typeface import SEMI_BOLD
from .sheet import RefusedFile, Sheet, SheetEntry, UnusedStill
from .sheet_marks import GROUND, INK, LINE, QUIET
from .sheet_tile import PICTURE_HEIGHT, below, block, entry_tile, scale_of, text_picture, unused_tile

WIDTH = 2400
LEAST_WIDTH = 320
"""Narrower sheets hold no readable tile."""

EASY_HEIGHT = 4.0
"""Most of its width that a sheet should be high: more columns before more height."""

MOST_COLUMNS = 10


def sheet_picture(sheet: Sheet, width: int = WIDTH) -> Image.Image:
    """Return the sheet as an RGB picture, `width` px wide and as high as it needs.

    Slots stand in reading order in two columns, in up to ten where there are many, so that hundreds stay within
    bounds. ValueError below 320 px.
    """
    tiles = SheetTiles(sheet, width)
    for entry in sheet.drawn():
        tiles.lay(entry)
    for still in sheet.drawn_unused():
        tiles.lay_unused(still)
    return tiles.picture()


class SheetTiles:
    """The picture of a sheet as it grows: of what has been laid, only the finished rows are held."""

    def __init__(self, sheet: Sheet, width: int = WIDTH) -> None:
        if width < LEAST_WIDTH:
            raise ValueError(f"a contact sheet is at least {LEAST_WIDTH} px wide, not {width}")
        self._sheet = sheet
        self._margin = round(width / 30)
        self._width = width - 2 * self._margin
        self._slots = _Grid(columns_for(len(sheet.entries), self._width), self._width)
        columns = min(columns_for(len(sheet.unused), self._width) + 2, max(self._width // 200, 1))
        self._unused = _Grid(columns, self._width)

    def lay(self, entry: SheetEntry) -> SheetEntry:
        """Lay the tile of the next slot; return the entry."""
        self._slots.add(entry_tile(entry, self._slots.tile))
        return entry

    def lay_unused(self, still: UnusedStill) -> UnusedStill:
        """Lay the tile of the next photograph that no slot uses; return it."""
        self._unused.add(unused_tile(still, self._unused.tile))
        return still

    def picture(self) -> Image.Image:
        """Return the whole of what was laid."""
        bands = [*self._bands()]
        width = self._width + 2 * self._margin
        height = sum(gap + band.size[1] for gap, band in bands) + 2 * self._margin
        page, y = Image.new("RGB", (width, height), GROUND), self._margin
        for gap, band in bands:
            page.paste(band.picture(), (self._margin, y + gap))
            y += gap + band.size[1]
        return page

    def _bands(self) -> Iterator[_Band]:
        sheet, width, margin = self._sheet, self._width, self._margin
        yield 0, _Packed.of(_header(sheet, width))
        yield from self._slots.bands(margin)
        if sheet.unused:
            yield margin, _Packed.of(_heading("Not used", width))
            yield from self._unused.bands(self._unused.gap)
        if sheet.refused:
            yield margin, _Packed.of(_heading("Could not be read", width))
            yield max(width // 80, 8), _Packed.of(_refused(sheet.refused, width))
        if sheet.notice:
            size = max(width // 110, 12)
            yield margin, _Packed.of(text_picture([block(sheet.notice, size, QUIET, width)], width, size))


@dataclass(frozen=True, slots=True)
class _Packed:
    """A picture that waits: a sheet's rows would need as much memory again as the page that they are laid on."""

    size: tuple[int, int]
    content: bytes

    @classmethod
    def of(cls, picture: Image.Image) -> Self:
        return cls(picture.size, zlib.compress(picture.tobytes(), level=1))

    def picture(self) -> Image.Image:
        return Image.frombytes("RGB", self.size, zlib.decompress(self.content))


_Band = tuple[int, _Packed]  # how far it stands below the one before, in pixels, and what it shows


class _Grid:
    """Tiles in rows, each as high as its highest tile; a row is joined when it is full, and its tiles let go."""

    def __init__(self, columns: int, width: int) -> None:
        self._columns = columns
        self.gap = max(round(width / columns / 18), 8)
        self.tile = (width - (columns - 1) * self.gap) // columns
        self._rows: list[_Packed] = []
        self._open: list[Image.Image] = []

    def add(self, tile: Image.Image) -> None:
        self._open.append(tile)
        if len(self._open) == self._columns:
            self._close()

    def bands(self, above: int) -> Iterator[_Band]:
        """Yield the rows, the first of them `above` px below what comes before."""
        if self._open:
            self._close()
        for row in self._rows:
            yield above, row
            above = round(1.5 * self.gap)

    def _close(self) -> None:
        self._rows.append(_Packed.of(_row(self._open, self.gap)))
        self._open = []


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
            *(block(line, round(1.3 * size), QUIET, width) for line in _page(sheet)),
        ],
        width,
        round(2.4 * size),
    )
    return below([words, _rule(width)], size)


def _page(sheet: Sheet) -> Iterator[str]:
    """Yield which page this is and what it holds, where there are several."""
    if sheet.pages:
        yield f"page {sheet.page + 1} of {len(sheet.pages)}: {sheet.pages[sheet.page].holds}"


def _rule(width: int) -> Image.Image:
    return Image.new("RGB", (width, max(width // 1200, 1)), LINE)


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
