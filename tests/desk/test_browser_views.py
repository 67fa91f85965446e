"""What the page shows: the wall, choosing a photograph, one slot, play; at three sizes, and to everybody."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.xdist_group("browser")

SIZES = [(1440, 900), (1024, 768), (820, 1180)]
VIEWS = ["", "#/slot/01", "#/slot/03/play", "#/slot/04"]


def test_the_wall_has_every_slot_in_film_order_and_photographs_that_none_uses(desk_page: Callable[..., Page]) -> None:
    page = desk_page()
    assert page.locator("[data-slot]").evaluate_all("all => all.map(one => one.dataset.slot)") == [
        "01",
        "02",
        "03",
        "04",
    ]
    first = page.locator("[data-slot='01']").inner_text()
    assert "good · push in · 2.0 s" in first
    assert "00:00:10:00" in first
    assert "missing · card" in page.locator("[data-slot='04']").inner_text()
    assert "spare.png" in page.locator(".spares").inner_text()
    page.locator("[data-filter='cards']").click()
    expect(page.locator("[data-slot]")).to_have_count(1)


def test_a_photograph_is_chosen_from_those_of_the_folder_with_the_match_score(
    desk_page: Callable[..., Page], film_folder: Path
) -> None:
    page = desk_page()
    page.get_by_role("button", name="choose the photograph of slot 04").click()
    expect(page.locator(".choice")).to_have_count(4)
    page.get_by_role("searchbox").fill("spare")
    expect(page.locator(".choice")).to_have_count(1)
    page.locator(".choice").click()
    expect(page.locator("[data-slot='04'] .facts >> nth=0")).not_to_contain_text("missing")
    assert tomllib.loads((film_folder / "film.toml").read_text())["slots"]["04"] == {"still": "spare.png"}
    page.get_by_role("button", name="choose the photograph of slot 01").click()
    expect(page.locator(".choice.now")).to_contain_text("match 100 of 100")


def test_the_speed_is_shown_against_the_limit(desk_page: Callable[..., Page]) -> None:
    page = desk_page("#/slot/01")
    # One frame width in 7 seconds at 25 a second, common practice: 640 / (7 × 25) = 3.66 px a frame.
    expect(page.locator(".under-track .limit")).to_contain_text("limit 3.7")
    expect(page.locator(".speeds .speed")).to_have_count(1)


def test_play_runs_in_real_time_and_comes_to_its_end(desk_page: Callable[..., Page]) -> None:
    page = desk_page("#/slot/01/play")
    expect(page.locator("canvas")).to_have_attribute("data-drawn", "0 960")  # 640 px are wanted
    page.keyboard.press(" ")
    expect(page.locator("[data-key='play']")).to_have_text("Pause")
    expect(page.locator(".told")).to_have_text("frame 50 of 50")
    expect(page.locator("[data-key='play']")).to_have_text("Play")


def test_the_join_with_its_neighbours_can_be_judged(desk_page: Callable[..., Page]) -> None:
    page = desk_page("#/slot/02/play")
    page.get_by_role("button", name="with its neighbours").click()
    # Slot 01 ends where 02 begins, all 2 s of it; then 6 s of film, for which half a second of leader stands, and 03.
    expect(page.locator("input[type=range]")).to_have_attribute("max", str(50 + 50 + 13 + 50 - 1))
    page.locator("input[type=range]").fill(str(50 + 50 + 3))
    expect(page.locator(".between")).to_have_text("6.0 s of film between")
    page.locator("input[type=range]").fill("10")
    expect(page.locator(".told")).to_have_text("next to it")


def test_safe_areas_are_those_of_smpte_st_2046_1(desk_page: Callable[..., Page]) -> None:
    """Safe action is 93 % and safe title 90 % of the width and of the height (SMPTE ST 2046-1:2009, from memory)."""
    page = desk_page("#/slot/01/play")
    assert page.locator(".safe").is_hidden()
    page.get_by_role("button", name="safe areas").click()
    frame = page.locator("canvas").bounding_box()
    assert frame is not None
    for name, share in (("action", 0.93), ("title", 0.90)):
        box = page.locator(f".safe .over.{name}").bounding_box()
        assert box is not None
        assert box["width"] / frame["width"] == pytest.approx(share, abs=0.004)
        assert box["height"] / frame["height"] == pytest.approx(share, abs=0.006)


def test_every_view_fits_its_screen(desk_page: Callable[..., Page]) -> None:
    page = desk_page()
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        for view in VIEWS:
            go(page, view)
            assert page.evaluate("document.documentElement.scrollWidth") <= width
            assert cut_off(page) == []


def go(page: Page, view: str) -> None:
    page.evaluate("hash => { location.hash = hash || '#/' }", view)
    page.wait_for_selector(".slot .page" if view else ".wall")
    page.wait_for_timeout(150)


def cut_off(page: Page) -> list[str]:
    """Return the buttons and links that stand out over the sides of the window."""
    outside: list[str] = page.locator("button, a, select, input").evaluate_all(
        """all => all.filter(one => one.checkVisibility() && (one.getBoundingClientRect().left < -1
            || one.getBoundingClientRect().right > innerWidth + 1)).map(one => one.outerHTML)"""
    )
    return outside


def test_a_narrow_screen_is_told_of(desk_page: Callable[..., Page]) -> None:
    page = desk_page()
    assert page.locator(".screen").is_hidden()
    # Chromium does not play a screen below sRGB, so the answer to the media query (CSS Media Queries 4, 5.2) is played.
    page.add_init_script(
        """const real = matchMedia.bind(window);
        window.matchMedia = query => real(query.includes('color-gamut') ? 'not all' : query);"""
    )
    page.reload()
    expect(page.locator(".screen")).to_contain_text("fewer colours")


def test_the_ground_is_a_true_grey(desk_page: Callable[..., Page]) -> None:
    page = desk_page()
    for selector in ("body", ".notebook"):
        colour = page.locator(selector).evaluate("one => getComputedStyle(one).backgroundColor")
        red, green, blue = (int(part) for part in colour.removeprefix("rgb(").removesuffix(")").split(","))
        assert red == green == blue


def test_everything_can_be_reached_by_keyboard(desk_page: Callable[..., Page]) -> None:
    page = desk_page("#/slot/01")
    reached = set()
    for _ in range(60):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("document.activeElement.dataset.key ?? document.activeElement.className"))
    assert {
        "shot",
        "easing",
        "pacing",
        "head",
        "tail",
        "cue",
        "stop0",
        "stop1",
        "tab",
        "disc",
        "play",
        "outline",
        "note",
    } <= reached
