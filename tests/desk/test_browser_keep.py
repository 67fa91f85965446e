"""Every change is kept, and nobody's is lost: others write film.toml too, and the desk may be away for a while."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.xdist_group("browser")


def easing_of(folder: Path) -> str | None:
    slots = tomllib.loads((folder / "film.toml").read_text(encoding="utf-8")).get("slots", {})
    found: str | None = slots.get("01", {}).get("easing")
    return found


def behind_its_back(page: Page, folder: Path, added: str) -> None:
    """Change film.toml while the page hears nothing of it."""
    page.route("**/api/film", lambda route: route.abort())
    with (folder / "film.toml").open("a", encoding="utf-8") as file:
        file.write(added)


@pytest.mark.parametrize("choice", ["Keep what is here", "Keep what is in film.toml"])
def test_an_edit_conflict_shows_both_and_keeps_the_one_that_is_chosen(
    desk_page: Callable[..., Page], film_folder: Path, choice: str
) -> None:
    page = desk_page("#/slot/01")
    behind_its_back(page, film_folder, '\n[slots."01"]\neasing = "cubic"\n')
    page.locator("select[data-key='easing']").select_option("linear")
    slip = page.get_by_role("dialog")
    expect(slip).to_contain_text("linear")
    expect(slip).to_contain_text("cubic")
    assert easing_of(film_folder) == "cubic"
    slip.get_by_role("button", name=choice).click()
    mine = choice == "Keep what is here"
    expect(page.locator("select[data-key='easing']")).to_have_value("linear" if mine else "cubic")
    expect(page.locator(".kept")).to_have_text("kept in film.toml")
    assert easing_of(film_folder) == ("linear" if mine else "cubic")
    if mine:
        page.get_by_role("button", name="Undo").click()
        expect(page.locator("select[data-key='easing']")).to_have_value("cubic")
    else:
        expect(page.locator("#said")).to_have_text("Not kept: 01, easing: linear")


def test_changes_of_other_keys_are_merged(desk_page: Callable[..., Page], film_folder: Path) -> None:
    page = desk_page("#/slot/01")
    behind_its_back(page, film_folder, '\n[slots."02"]  # by somebody else\nshot = "push in"\n')
    page.locator("select[data-key='easing']").select_option("linear")
    expect(page.locator("select[data-key='easing']")).to_have_value("linear")
    expect(page.locator(".kept")).to_have_text("kept in film.toml")
    text = (film_folder / "film.toml").read_text(encoding="utf-8")
    assert tomllib.loads(text)["slots"] == {"01": {"easing": "linear"}, "02": {"shot": "push in"}}
    assert "# by somebody else" in text


def test_a_change_from_elsewhere_appears_by_itself(desk_page: Callable[..., Page], film_folder: Path) -> None:
    page = desk_page("#/slot/01")
    with (film_folder / "film.toml").open("a", encoding="utf-8") as file:
        file.write('\n[slots."01"]\neasing = "cubic"\n')
    expect(page.locator("select[data-key='easing']")).to_have_value("cubic")


def test_a_change_waits_while_the_desk_does_not_answer(desk_page: Callable[..., Page], film_folder: Path) -> None:
    page = desk_page("#/slot/01")
    page.route("**/api/edit", lambda route: route.abort())
    page.locator("select[data-key='easing']").select_option("linear")
    expect(page.locator("#said")).to_contain_text("kept here")
    assert easing_of(film_folder) is None
    page.unroute("**/api/edit")
    page.locator("textarea").fill("calm")
    page.locator("textarea").blur()
    expect(page.locator(".kept")).to_have_text("kept in film.toml")
    slots = tomllib.loads((film_folder / "film.toml").read_text(encoding="utf-8"))["slots"]
    assert slots == {"01": {"easing": "linear", "note": "calm"}}


def test_what_cannot_be_set_is_said_and_taken_back(desk_page: Callable[..., Page], film_folder: Path) -> None:
    first = (film_folder / "film.toml").read_text(encoding="utf-8")
    page = desk_page("#/slot/01")
    page.locator("input[data-key='head']").fill("-3")
    page.locator("input[data-key='head']").blur()
    expect(page.locator("#said")).to_contain_text("head")
    expect(page.locator("input[data-key='head']")).to_have_value("")
    page.locator("input[data-key='tail']").fill("long")
    page.locator("input[data-key='tail']").blur()
    expect(page.locator("#said")).to_contain_text("'long' is no number")
    assert (film_folder / "film.toml").read_text(encoding="utf-8") == first
