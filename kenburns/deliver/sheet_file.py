"""A contact sheet written down: slot after slot as a page, and as a picture beside it."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from pathlib import Path

from ..files import whole_file
from .sheet import Sheet, SheetEntry, UnusedStill
from .sheet_page import sheet_page
from .sheet_pages import outdated, page_files, pages_of
from .sheet_picture import SheetTiles


def write_sheet(sheet: Sheet, out: Path, stem: str, owned: Collection[str]) -> None:
    """Write a sheet as pages and a picture of each, every file whole or not at all.

    The files of pages that it had before and has no more are removed where they are among the names `owned`.
    """
    files = page_files(stem, len(sheet.entries) + len(sheet.unused))
    for page, names in zip(pages_of(sheet, files), files, strict=True):
        _write_page(page, out, names)
    for name in outdated(stem, len(files), owned):
        (out / name).unlink(missing_ok=True)


def _write_page(sheet: Sheet, out: Path, names: tuple[str, str]) -> None:
    """Write one page, and its picture.

    Each entry is drawn once, for both; its pictures are let go before the next one's are drawn.
    """
    tiles = SheetTiles(sheet)

    def entry(waiting: SheetEntry) -> SheetEntry:
        return tiles.lay(sheet.draw(waiting))

    def unused(waiting: UnusedStill) -> UnusedStill:
        return tiles.lay_unused(sheet.draw_unused(waiting))

    page, picture = (out / name for name in names)
    with whole_file(page) as part, part.open("w", encoding="utf-8", newline="\n") as text:
        text.writelines(sheet_page(replace(sheet, draw=entry, draw_unused=unused)))
    with whole_file(picture) as part:
        tiles.picture().save(part, "PNG", compress_level=6)
