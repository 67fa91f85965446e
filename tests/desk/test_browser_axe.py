"""Accessibility by axe-core: nothing serious or critical in any view, slip or box."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from kenburns.desk.server import DeskServer

pytestmark = pytest.mark.xdist_group("browser")


def grave(page: Page) -> list[tuple[str, list[str]]]:
    """Return what axe-core finds of level serious or critical."""
    results = Axe().run(page, options={})
    assert results.response["passes"]
    return [
        (found["id"], [node["html"] for node in found["nodes"]])
        for found in results.response["violations"]
        if found["impact"] in ("serious", "critical")
    ]


@pytest.fixture
def page(desk_page: Callable[..., Page], film_folder: Path) -> Page:
    """Open the small film with a note of a review on slot 01 and another on none."""
    (film_folder / "notes.txt").write_text("0:10 slower here\n0:50 more sea\n", encoding="utf-8")
    return desk_page()


@pytest.mark.parametrize("view", ["#/", "#/slot/01", "#/slot/03/play", "#/slot/04"])
def test_axe_finds_nothing_serious_in_a_view(page: Page, view: str) -> None:
    page.evaluate("hash => { location.hash = hash }", view)
    page.wait_for_selector(".slot .page" if "slot" in view else ".wall")
    page.wait_for_timeout(300)
    page.locator("details").evaluate_all("all => all.forEach(one => { one.open = true })")
    assert grave(page) == []


def test_axe_finds_nothing_serious_where_a_photograph_is_chosen(page: Page) -> None:
    page.get_by_role("button", name="choose the photograph of slot 04").click()
    page.wait_for_selector(".choice")
    assert grave(page) == []


def test_axe_finds_nothing_serious_in_a_conflict(page: Page, film_folder: Path) -> None:
    page.evaluate("location.hash = '#/slot/01'")
    page.wait_for_selector("select[data-key='easing']")
    page.route("**/api/film", lambda route: route.abort())
    with (film_folder / "film.toml").open("a", encoding="utf-8") as film:
        film.write('\n[slots."01"]\neasing = "cubic"\n')
    page.locator("select[data-key='easing']").select_option("linear")
    expect(page.get_by_role("dialog")).to_contain_text("cubic")
    assert grave(page) == []


def test_axe_finds_nothing_serious_in_what_is_told_of_a_render(page: Page) -> None:
    page.get_by_role("button", name="Render the film").click()
    page.wait_for_selector(".clips progress")
    assert grave(page) == []
    expect(page.locator(".clips summary")).to_have_text("4 clips made", timeout=60_000)
    page.locator(".clips summary").click()
    assert grave(page) == []


def test_axe_finds_nothing_serious_at_the_front_door(
    tmp_path: Path, open_desk: Callable[[Path], DeskServer], open_page: Callable[..., Page]
) -> None:
    page = open_page(open_desk(tmp_path).address)
    page.get_by_role("button", name="Choose a folder").wait_for()
    assert grave(page) == []
