"""A contact sheet written down: slot after slot as a page, and as a picture beside it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from itertools import chain, repeat
from pathlib import Path

from ..files import whole_file
from .sheet import Sheet, SheetEntry, UnusedStill
from .sheet_page import sheet_page
from .sheet_pages import outdated, page_files, page_mark, pages_of
from .sheet_picture import SheetTiles


def write_sheet(sheet: Sheet, out: Path, stem: str, owned: Collection[str], stands: Sequence[str] = ()) -> list[str]:
    """Write a sheet as pages and a picture of each, every file whole or not at all; return the marks of its pages.

    Pages of which these marks (`stands`, in their order) say that they stand as they would be written are left as they
    are. The files of pages that it had before and has no more are removed where they are among the names `owned`.
    """
    files = page_files(stem, len(sheet.entries) + len(sheet.unused))
    pages = pages_of(sheet, files)
    marks = [page_mark(page) for page in pages]
    for page, names, mark, before in zip(pages, files, marks, chain(stands, repeat("")), strict=False):
        if mark != before or not all((out / name).is_file() for name in names):
            _write_page(page, out, names)
    for name in outdated(stem, len(files), owned):
        (out / name).unlink(missing_ok=True)
    return marks


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
        tiles.picture().save(part, "PNG", compress_level=1)  # a twentieth larger than by 6, in half the time
