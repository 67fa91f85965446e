"""Rendering from the page; and the page's drawing of a frame against the clip's own frame."""

from __future__ import annotations

import base64
import io
from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from playwright.sync_api import Page, expect
from skimage.metrics import peak_signal_noise_ratio
from skimage.registration import phase_cross_correlation

pytestmark = pytest.mark.xdist_group("browser")

Pixels = NDArray[np.uint8]


def test_clips_are_rendered_from_the_page_which_stays_usable(desk_page: Callable[..., Page], film_folder: Path) -> None:
    page = desk_page()
    page.get_by_role("button", name="Render the film").click()
    page.locator("a.sheet").first.click()
    expect(page.locator(".slot h1")).to_contain_text("the harbour")
    made = page.locator(".clips summary")
    expect(made).to_have_text("4 clips made", timeout=60_000)
    made.click()
    listed = page.locator(".files li").all_inner_texts()
    assert sorted(listed) == sorted(path.name for path in (film_folder / "out").glob("0*.m*"))
    assert len(listed) == 4


def test_one_slot_is_rendered_alone(desk_page: Callable[..., Page], film_folder: Path) -> None:
    page = desk_page("#/slot/02")
    page.get_by_role("button", name="Render 02").click()
    expect(page.locator(".clips summary")).to_have_text("1 clip made", timeout=60_000)
    assert [path.stem for path in (film_folder / "out").glob("0*.m*")] == ["02"]


def drawn(page: Page, frame: int) -> Pixels:
    """Return what the page draws for a frame of the slot that is open, as RGB."""
    page.locator("input[type=range]").fill(str(frame))
    expect(page.locator(f"canvas[data-drawn^='{frame} ']")).to_be_attached()
    page.wait_for_timeout(200)  # a finer picture may still be on its way
    address = page.locator("canvas").evaluate("canvas => canvas.toDataURL('image/png')")
    return np.asarray(Image.open(io.BytesIO(base64.b64decode(address.partition(",")[2]))).convert("RGB"))


def rendered(clip: Path, frames: list[int]) -> dict[int, Pixels]:
    """Return frames of a clip as a decoder shows them: narrow range BT.709 to RGB, by FFmpeg's own converter."""
    found: dict[int, Pixels] = {}
    with av.open(str(clip)) as container:
        for number, frame in enumerate(container.decode(video=0)):
            if number in frames:
                pixels = frame.to_ndarray(format="rgb24", src_colorspace="ITU709", dst_colorspace="ITU709")
                found[number] = np.asarray(pixels, np.uint8)
    return found


def alike(one: Pixels, other: Pixels) -> float:
    """Return the peak signal-to-noise ratio in dB, as scikit-image counts it."""
    return float(peak_signal_noise_ratio(one, other))  # type: ignore[no-untyped-call]  # it ships no types


def shift(one: Pixels, other: Pixels) -> float:
    """Return by how many pixels one is moved against the other, on the axis where it is more (Guizar-Sicairos 2008)."""
    grey = (one.mean(axis=2), other.mean(axis=2))
    moved, _, _ = phase_cross_correlation(*grey, upsample_factor=20)  # type: ignore[no-untyped-call]  # the same
    return float(np.abs(moved).max())


SHOWN = {"01": [0, 14, 30, 49], "02": [0, 25, 49], "03": [0, 20, 49]}


def test_the_page_draws_a_frame_as_the_clip_has_it(desk_page: Callable[..., Page], film_folder: Path) -> None:
    """Ten frames of three shots: a push in, a hold and a pan."""
    page = desk_page()
    page.get_by_role("button", name="Render the film").click()
    expect(page.locator(".clips summary")).to_have_text("4 clips made", timeout=60_000)
    for slot, frames in SHOWN.items():
        page.evaluate("slot => { location.hash = `#/slot/${slot}/play` }", slot)
        expect(page.locator(".slot h1")).to_contain_text(slot)
        (clip,) = (film_folder / "out").glob(f"{slot}.m*")
        for number, expected in rendered(clip, frames).items():
            shown = drawn(page, number)
            assert shown.shape == expected.shape
            assert alike(expected, shown) >= 32
            assert shift(expected, shown) <= 0.5
