"""A contact sheet of many slots: which page each is on, how pages are found, and what is held while they are drawn."""

from __future__ import annotations

import re
import weakref
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from kenburns.deliver import sheet_pages
from kenburns.deliver.sheet import Sheet, SheetEntry, UnusedStill
from kenburns.deliver.sheet_file import write_sheet
from kenburns.deliver.sheet_pages import PAGE, outdated, page_files, pages_of


@pytest.fixture
def small_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet_pages, "PAGE", 3)


def entry(number: int, verdict: str = "good") -> SheetEntry:
    return SheetEntry(f"{number:04}", "", "", "", "", "", verdict)


def sheet(slots: int, unused: int) -> Sheet:
    stills = tuple(UnusedStill(f"{number}.jpg", "good") for number in range(unused))
    return Sheet("Salt and Linen", "", tuple(map(entry, range(1, slots + 1))), stills)


def pages(whole: Sheet) -> list[Sheet]:
    return pages_of(whole, page_files("sheet", len(whole.entries) + len(whole.unused)))


@pytest.mark.parametrize(("things", "count"), [(0, 1), (1, 1), (PAGE, 1), (PAGE + 1, 2), (10 * PAGE, 10)])
def test_there_are_as_many_pages_as_needed_and_always_one(things: int, count: int) -> None:
    files = page_files("sheet", things)
    assert len(files) == count
    assert files[0] == ("sheet.html", "sheet.png")
    assert files[1:2] == [("sheet-2.html", "sheet-2.png")][: count - 1]


def test_a_sheet_that_fits_on_one_page_stays_as_it_is() -> None:
    whole = sheet(PAGE - 1, 1)
    assert pages(whole) == [whole]


@given(st.integers(0, 5 * PAGE), st.integers(0, 3 * PAGE))
def test_every_slot_and_every_unused_still_is_on_one_page_in_order_and_no_page_holds_more(
    slots: int, unused: int
) -> None:
    whole = sheet(slots, unused)
    parts = pages(whole)
    assert [slot for part in parts for slot in part.entries] == list(whole.entries)
    assert [still for part in parts for still in part.unused] == list(whole.unused)
    assert all(len(part.entries) + len(part.unused) <= PAGE for part in parts)


@pytest.mark.usefixtures("small_pages")
def test_a_page_says_what_is_on_each_and_how_many_there_want_a_look(small_sheet: Sheet) -> None:
    five = (*small_sheet.entries, entry(5))
    unused = tuple(UnusedStill(f"{number}.jpg", "good") for number in range(1, 6))
    first, *_, last = pages(replace(small_sheet, entries=five, unused=unused))
    # Three things a page: slots 001 to 003, two of them to look at; 004, which is too, and 0005; then what is left.
    assert [(page.file, page.holds, page.calls) for page in first.pages] == [
        ("sheet.html", "001 – 003", 2),
        ("sheet-2.html", "004 – 0005, not used 1", 1),
        ("sheet-3.html", "not used 2 – 4", 0),
        ("sheet-4.html", "not used 5, could not be read", 0),
    ]
    assert (first.page, last.page) == (0, 3)
    assert (first.refused, last.refused) == ((), small_sheet.refused)


@pytest.mark.usefixtures("small_pages")
def test_from_every_page_every_other_can_be_reached_and_each_has_its_picture(
    small_sheet: Sheet, tmp_path: Path
) -> None:
    write_sheet(replace(small_sheet, unused=()), tmp_path, "sheet", ())
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "sheet-2.html",
        "sheet-2.png",
        "sheet.html",
        "sheet.png",
    ]
    for name, other, holds in (("sheet", "sheet-2", "001 – 003"), ("sheet-2", "sheet", "004")):
        text = (tmp_path / f"{name}.html").read_text("utf-8")
        assert re.findall(r'href="([^#"]+)"', text) == [f"{other}.html"] * 2  # above the slots and below
        assert text.count(f'aria-current="page">{holds}') == 2
        with Image.open(tmp_path / f"{name}.png", formats=["PNG"]) as picture:
            picture.load()
            assert picture.width == 2400


@pytest.mark.usefixtures("small_pages")
def test_pages_that_are_no_longer_needed_go_where_they_are_ours_and_no_other_file_does(
    small_sheet: Sheet, tmp_path: Path
) -> None:
    files = ["sheet-2.html", "sheet-2.png", "sheet-3.html", "sheet-final.html", "sheet-2.html.txt"]
    for name in files:
        (tmp_path / name).write_text("before")
    write_sheet(replace(small_sheet, entries=(), unused=()), tmp_path, "sheet", [*files[:2], *files[3:]])
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(["sheet.html", "sheet.png", *files[2:]])
    assert outdated("sheet", 2, ["sheet-2.png", "sheet-3.png", "sheet-10.html", "details-3.png"]) == [
        "sheet-3.png",
        "sheet-10.html",
    ]


@pytest.mark.usefixtures("small_pages")
def test_while_a_sheet_is_written_the_pictures_of_no_more_than_two_slots_are_held(tmp_path: Path) -> None:
    held: list[weakref.ref[NDArray[np.uint8]]] = []
    most = 0

    def picture() -> NDArray[np.uint8]:
        nonlocal most
        shown = np.zeros((20, 30, 3), np.uint8)
        held.append(weakref.ref(shown))
        most = max(most, sum(one() is not None for one in held))
        return shown

    whole = replace(
        sheet(5, 4),
        draw=lambda waiting: replace(waiting, picture=picture()),
        draw_unused=lambda waiting: replace(waiting, picture=picture()),
    )
    write_sheet(whole, tmp_path, "sheet", ())
    assert len(held) == 9  # each drawn once, for the page and for the picture
    assert most <= 2


@pytest.mark.usefixtures("small_pages")
def test_only_the_pages_that_would_look_different_are_written_again(tmp_path: Path) -> None:
    def write(shown: Sheet, stands: list[str]) -> tuple[list[str], set[str]]:
        """Return the marks, and the stems of what was written."""
        before = {path: path.stat().st_ino for path in tmp_path.iterdir()}
        marks = write_sheet(shown, tmp_path, "sheet", [], stands)
        after = {path: path.stat().st_ino for path in tmp_path.iterdir()}
        return marks, {path.stem for path, number in after.items() if number != before.get(path)}

    whole = sheet(5, 5)
    marks, written = write(whole, [])
    assert written == {"sheet", "sheet-2", "sheet-3", "sheet-4"}
    assert write(whole, marks) == (marks, set())
    entries = list(whole.entries)
    entries[4] = replace(entries[4], mark="another picture")
    other, written = write(replace(whole, entries=tuple(entries)), marks)
    assert written == {"sheet-2"}
    assert [mark == was for mark, was in zip(other, marks, strict=True)] == [True, False, True, True]
    (tmp_path / "sheet-3.png").unlink()
    assert write(replace(whole, entries=tuple(entries)), other) == (other, {"sheet-3"})
