"""Stops on the page: moved, resized, kept, taken back; and what is set is what renders."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from kenburns.plan.views import slot_path
from kenburns.prepare import Options, prepare

pytestmark = pytest.mark.xdist_group("browser")


def kept(folder: Path, slot: str) -> dict[str, Any]:
    tables: dict[str, Any] = tomllib.loads((folder / "film.toml").read_text(encoding="utf-8"))
    edit: dict[str, Any] = tables.get("slots", {}).get(slot, {})
    return edit


def until_kept(page: Page) -> None:
    expect(page.locator(".kept")).to_have_text("kept in film.toml")


def stop(page: Page, at: int) -> str:
    return page.locator(f"[data-stop='{at}'] .tab").get_attribute("aria-label") or ""


def drag(page: Page, selector: str, by: tuple[float, float]) -> None:
    """Press in the middle of an element, move in steps, let go."""
    box = page.locator(selector).bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + by[0] / 2, y + by[1] / 2)
    page.mouse.move(x + by[0], y + by[1])
    page.mouse.up()
    until_kept(page)


def scale_of(page: Page) -> float:
    """Return CSS pixels a source pixel of the photograph on the stage."""
    box = page.locator(".photograph").bounding_box()
    assert box is not None
    return box["width"] / 1600


def test_a_stop_dragged_by_hand_is_kept_where_it_was_let_go(desk_page: Callable[..., Page], film_folder: Path) -> None:
    page = desk_page("#/slot/01")
    k = scale_of(page)
    before = page.evaluate("fetch('/api/film').then(a => a.json())")["slots"][0]["shots"][0]["stops"][1]
    page.locator("[data-stop='1'] .tab").focus()
    drag(page, "[data-stop='1']", (-40 * k, 20 * k))
    x, y, width, height = kept(film_folder, "01")["stops"][1]
    assert x == pytest.approx(before["x"] - 40, abs=2 / k)
    assert y == pytest.approx(before["y"] + 20, abs=2 / k)
    assert width == round(before["width"])
    assert height == pytest.approx(width * 360 / 640)


def test_a_corner_drawn_inwards_meets_one_to_one_and_says_what_would_allow_more(
    desk_page: Callable[..., Page], film_folder: Path
) -> None:
    page = desk_page("#/slot/01")
    k = scale_of(page)
    page.locator("[data-stop='1'] .tab").focus()
    box = page.locator("[data-stop='1'] .corner.se").bounding_box()
    whole = page.locator("[data-stop='1']").bounding_box()
    assert box is not None
    assert whole is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - whole["width"] + 320 * k, y - whole["height"] + 180 * k, steps=4)  # half of 1:1 is asked for
    said = page.locator("#said").inner_text()
    page.mouse.up()
    until_kept(page)
    assert "1:1" in said
    needed = [int(word) for word in said.replace("px", "").split() if word.isdigit()]
    # Half the frame's width at 1:1 takes a photograph of twice the size: 3200 × 1800.
    assert needed == pytest.approx([3200, 1800], rel=0.03)
    _, _, width, height = kept(film_folder, "01")["stops"][1]
    assert (width, height) == (640, 360)


def test_the_keyboard_moves_and_resizes_a_stop(desk_page: Callable[..., Page], film_folder: Path) -> None:
    page = desk_page("#/slot/02")
    page.locator("[data-stop='0'] .tab").focus()
    page.keyboard.press("+")
    page.keyboard.press("+")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowDown")
    page.wait_for_timeout(500)
    until_kept(page)
    ((x, y, width, height),) = kept(film_folder, "02")["stops"]
    # From the whole, 1280×720: + takes 2 % of 1280 px, 26, about the middle; an arrow moves by 1 %, 13.
    assert width == 1280 - 2 * 26
    assert height == pytest.approx(width * 9 / 16)
    assert x == pytest.approx((1280 - width) / 2 + 13, abs=0.2)
    assert y == pytest.approx((720 - height) / 2 + 1, abs=0.2)
    assert "hold" in stop(page, 0)


def test_undo_and_redo_take_a_change_back_and_again(desk_page: Callable[..., Page], film_folder: Path) -> None:
    first = (film_folder / "film.toml").read_text(encoding="utf-8")
    page = desk_page("#/slot/01")
    page.locator("select[data-key='easing']").select_option("linear")
    until_kept(page)
    changed = (film_folder / "film.toml").read_text(encoding="utf-8")
    assert kept(film_folder, "01") == {"easing": "linear"}
    assert "# its working title" in changed
    page.locator("main").focus()
    page.keyboard.press("Control+z")
    expect(page.locator("select[data-key='easing']")).to_have_value("")
    until_kept(page)
    assert (film_folder / "film.toml").read_text(encoding="utf-8") == first
    page.get_by_role("button", name="Redo").click()
    expect(page.locator("select[data-key='easing']")).to_have_value("linear")
    until_kept(page)
    assert (film_folder / "film.toml").read_text(encoding="utf-8") == changed


def test_a_reload_shows_the_same_slot_as_it_was_set(desk_page: Callable[..., Page]) -> None:
    page = desk_page("#/slot/01")
    planned = stop(page, 1)
    drag(page, "[data-stop='1']", (-30, 10))
    before = [stop(page, 0), stop(page, 1)]
    assert before[1] != planned
    page.reload()
    page.wait_for_selector("[data-stop='1']")
    assert [stop(page, 0), stop(page, 1)] == before


def test_what_is_set_on_the_page_is_what_renders(desk_page: Callable[..., Page], film_folder: Path) -> None:
    page = desk_page("#/slot/01")
    drag(page, "[data-stop='1']", (-25, 15))
    shown = page.evaluate("fetch('/api/path/0').then(a => a.json())")["frames"]
    prepared = prepare(film_folder, Options())
    path = slot_path(prepared.plan.slots[0], prepared.plan.frame)
    assert len(shown) == len(path)
    for row, expected in zip(shown, path.tolist(), strict=True):
        assert row == pytest.approx(expected, abs=1e-6)
    set_there = kept(film_folder, "01")["stops"]
    assert path[0].tolist() == pytest.approx(set_there[0], abs=1e-6)
    assert path[-1].tolist() == pytest.approx(set_there[1], abs=1e-6)


def test_a_detail_is_taken_with_one_click(desk_page: Callable[..., Page], film_folder: Path) -> None:
    page = desk_page("#/slot/01")
    page.locator(".disc").last.click()
    until_kept(page)
    number = page.locator(".disc").count()
    assert kept(film_folder, "01") == {"details": [number]}
    page.locator(".disc").last.click()
    until_kept(page)
    assert kept(film_folder, "01") == {}


def test_the_outline_is_moved_by_its_corners(desk_page: Callable[..., Page], film_folder: Path) -> None:
    page = desk_page("#/slot/01")
    page.get_by_role("button", name="Move its corners").click()
    drag(page, ".knob >> nth=0", (30, 30))
    page.locator(".knob").nth(2).focus()
    page.keyboard.press("ArrowLeft")
    page.wait_for_timeout(500)
    until_kept(page)
    tables = tomllib.loads((film_folder / "film.toml").read_text(encoding="utf-8"))
    corners = tables["stills"]["harbour.png"]["outline"]
    assert len(corners) == 4
    assert corners[0][0] > 18  # it begins 2 % of the shorter side inside
    assert corners[2][0] < 1600 - 18
