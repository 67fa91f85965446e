"""A contact sheet of many slots on several pages, each of a size to be opened and with a way to all the others."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from .sheet import Page, Sheet

PAGE = 200
"""Most slots, unused photographs after them, on a page: seven columns in its picture, of which each tile is legible,
and some tens of megabytes of pictures for a browser to open."""


def page_files(stem: str, things: int) -> list[tuple[str, str]]:
    """Return the names of each page and its picture, for so many slots and unused photographs in all."""
    count = max(-(-things // PAGE), 1)
    stems = [stem, *(f"{stem}-{number}" for number in range(2, count + 1))]
    return [(f"{name}.html", f"{name}.png") for name in stems]


def outdated(stem: str, pages: int, owned: Collection[str]) -> list[str]:
    """Return those of our files that belong to pages after the last one."""
    later = re.compile(rf"{re.escape(stem)}-(\d+)\.(html|png)")
    return [name for name in owned if (found := later.fullmatch(name)) and int(found[1]) > pages]


def pages_of(sheet: Sheet, files: Sequence[tuple[str, str]]) -> list[Sheet]:
    """Return the sheet's pages, one for each of its `page_files`; a sheet with one is that page as it is."""
    if len(files) == 1:
        return [sheet]
    firsts = range(0, len(files) * PAGE, PAGE)
    parts = [_part(sheet, first, is_last=first == firsts[-1]) for first in firsts]
    pages = tuple(
        Page(file, ", ".join(_holds(part, sheet, first)), sum(entry.attention for entry in part.entries))
        for (file, _), part, first in zip(files, parts, firsts, strict=True)
    )
    return [replace(part, pages=pages, page=number) for number, part in enumerate(parts)]


def _part(sheet: Sheet, first: int, *, is_last: bool) -> Sheet:
    """Return what lies on one page; what could not be read, and the notice, stand at the end of the last."""
    after, slots = first + PAGE, len(sheet.entries)
    return replace(
        sheet,
        entries=sheet.entries[first:after],
        unused=sheet.unused[max(first - slots, 0) : max(after - slots, 0)],
        refused=sheet.refused if is_last else (),
        notice=sheet.notice if is_last else "",
    )


def _holds(part: Sheet, sheet: Sheet, first: int) -> Iterator[str]:
    """Yield in words what lies on a page, of which the first thing is the sheet's `first`, from 0."""
    if part.entries:
        yield _range(part.entries[0].slot, part.entries[-1].slot)
    if part.unused:
        before = max(first - len(sheet.entries), 0)
        which = "" if len(part.unused) == len(sheet.unused) else f" {_range(before + 1, before + len(part.unused))}"
        yield f"not used{which}"
    if part.refused:
        yield "could not be read"


def _range(first: object, last: object) -> str:
    return f"{first}" if first == last else f"{first} – {last}"


def page_mark(page: Sheet) -> str:
    """Return a hash of all that a page shows; its pictures, which are still to be drawn, are told by their marks."""
    return hashlib.sha256(repr(page).encode("utf-8", "surrogatepass")).hexdigest()
