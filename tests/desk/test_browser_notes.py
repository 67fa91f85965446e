"""The notes of a review on the page: counted on the wall, read at their slot, marked done and opened again."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.xdist_group("browser")


@pytest.fixture
def page(desk_page: Callable[..., Page], film_folder: Path) -> Page:
    """Open the wall of the small film with two notes on its first slot, 10 s to 12 s, and one where no slot is."""
    (film_folder / "notes.txt").write_text("0:10 slower here\n0:11 closer\n0:50 more sea\n", encoding="utf-8")
    return desk_page()


def test_open_notes_are_counted_on_the_wall_and_done_at_their_slot(page: Page, film_folder: Path) -> None:
    expect(page.locator("[data-slot='01'] .noted")).to_have_text("2 notes open")
    expect(page.locator(".stray summary")).to_have_text("Notes on no slot: 1")
    page.locator("[data-filter='notes']").click()
    expect(page.locator("[data-slot]")).to_have_count(1)
    page.locator("[data-slot='01'] a.sheet").click()
    expect(page.locator(".page .note .said")).to_have_text(["slower here", "closer"])
    expect(page.locator(".page .note .quiet").first).to_have_text("00:00:10:00")
    page.get_by_role("button", name="Mark done: slower here").click()
    expect(page.locator(".page .note .said")).to_have_text(["closer", "slower here"])
    assert len(json.loads((film_folder / "notes-done.json").read_text(encoding="utf-8"))["done"]) == 1
    page.get_by_role("button", name="Open again: slower here").click()
    expect(page.locator(".page .note.done")).to_have_count(0)
    assert json.loads((film_folder / "notes-done.json").read_text(encoding="utf-8"))["done"] == []


def test_a_note_that_comes_while_the_desk_is_open_appears_by_itself(page: Page, film_folder: Path) -> None:
    with (film_folder / "notes.txt").open("a", encoding="utf-8") as notes:
        notes.write("0:12 the rope\n")
    expect(page.locator("[data-slot='02'] .noted")).to_have_text("1 note open")
