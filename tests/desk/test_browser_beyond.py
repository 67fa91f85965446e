"""Stops that reach beyond a photograph of another shape than the frame: set on the page, kept, and rendered."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray
from playwright.sync_api import Page, expect

pytestmark = pytest.mark.xdist_group("browser")

BRIGHT = '\n[slots."04"]\nstill = "spare.png"\nshot = "push in"\n'
MATTE = (0x20, 0x40, 0x60)


@pytest.fixture
def page(desk_page: Callable[..., Page], film_folder: Path) -> Page:
    """Open a slot of 25 frames with a photograph of 4:3, 1200x900 px, in a frame of 16:9."""
    film = film_folder / "film.toml"
    text = film.read_text(encoding="utf-8").replace('codec = "review"', 'codec = "review"\nmatte = "#204060"')
    film.write_text(text + BRIGHT, encoding="utf-8")
    return desk_page("#/slot/04")


def stops(folder: Path) -> list[list[float]]:
    found: list[list[float]] = tomllib.loads((folder / "film.toml").read_text(encoding="utf-8"))["slots"]["04"]["stops"]
    return found


def kept(page: Page) -> None:
    page.wait_for_timeout(500)  # a change by keyboard settles first
    expect(page.locator(".kept")).to_have_text("kept in film.toml")


def scale_of(page: Page) -> float:
    """Return CSS pixels a source pixel of the photograph on the stage."""
    box = page.locator(".photograph").bounding_box()
    assert box is not None
    return box["width"] / 1200


def pull(page: Page, selector: str, right: float, down: float) -> None:
    box = page.locator(selector).bounding_box()
    assert box is not None
    x, y = box["x"] + 30, box["y"] + box["height"] / 2  # beside the photograph, where nothing lies over it
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + right / 2, y + down / 2)
    page.mouse.move(x + right, y + down)
    page.mouse.up()


def press(page: Page, at: int, *keys: str) -> None:
    page.locator(f"[data-stop='{at}'] .tab").focus()
    for key in keys:
        page.keyboard.press(key)


def test_stops_beyond_the_photograph_are_set_by_pointer_and_keyboard_and_render_as_set(
    page: Page, film_folder: Path
) -> None:
    k = scale_of(page)
    # The whole of 1200x900 px in 16:9 is 1600x900 from x = -200. Rightwards it holds the photograph down to x = -400.
    pull(page, "[data-stop='0']", -60 * k, -8)
    kept(page)
    whole = stops(film_folder)[0]
    assert whole[0] == pytest.approx(-260, abs=2 / k)
    assert whole[1:] == [0, 1600, 900]  # 8 px are within the edge's hold
    press(page, 1, *["ArrowLeft"] * 110, "Shift+ArrowLeft")
    assert page.locator("#said").inner_text() == "Beyond the photograph the matte shows."
    kept(page)
    first, last = stops(film_folder)
    assert last[0] == -last[2] / 2  # no farther than with its centre on the photograph
    shown = page.evaluate("fetch('/api/path/3').then(a => a.json())")["frames"]
    page.get_by_role("button", name="Render 04").click()
    expect(page.locator(".clips summary")).to_have_text("1 clip made", timeout=60_000)
    with (film_folder / "out" / "paths" / "04.csv").open(encoding="utf-8", newline="") as file:
        rendered = [[float(row[key]) for key in ("x", "y", "width", "height")] for row in csv.DictReader(file)]
    assert rendered == [pytest.approx(row, abs=1e-6) for row in shown]
    assert rendered[0] == pytest.approx(first, abs=1e-6)
    assert rendered[-1] == pytest.approx(last, abs=1e-6)
    assert np.abs(left_edge(film_folder / "out" / "04.mp4") - MATTE).max() <= 3  # of 255: 8 bits of narrow range


def left_edge(clip: Path) -> NDArray[np.float64]:
    """Return the mean colour of the first frame's left tenth, converted by FFmpeg's own converter."""
    with av.open(str(clip)) as file:
        frame = next(file.decode(video=0))
        pixels = frame.to_ndarray(format="rgb24", src_colorspace="ITU709", dst_colorspace="ITU709")
    return np.asarray(pixels[:, : frame.width // 10].mean(axis=(0, 1)), np.float64)


def test_the_edge_of_the_photograph_holds_a_stop_until_it_is_pulled_over(page: Page, film_folder: Path) -> None:
    k = scale_of(page)
    pull(page, "[data-stop='0']", -5, 10)
    kept(page)
    assert stops(film_folder)[0][1] == 0
    pull(page, "[data-stop='0']", 0, 46)
    kept(page)
    assert stops(film_folder)[0][1] == pytest.approx((46 - 16) / k, abs=2 / k)  # the edge gives way after 16 px
    fill = page.locator(".matte rect").first.get_attribute("fill")
    assert fill == "#204060"
