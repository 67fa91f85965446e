"""Pictures for the page, decoded again with Pillow."""

from __future__ import annotations

import io
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from kenburns.cards.look import Look
from kenburns.desk.images import Images, as_taken, longest_side, photograph_mark, prune
from kenburns.errors import PhotographError
from kenburns.motion.geometry import Size
from kenburns.plan.document import Plan
from kenburns.stills.open import Photograph, inspect, squared_up

MATTE = "#161616"


def decoded(jpeg: bytes) -> Image.Image:
    return Image.open(io.BytesIO(jpeg)).convert("RGB")


@pytest.fixture
def sea(tmp_path: Path, photograph: Callable[..., Path]) -> Photograph:
    return inspect(photograph(tmp_path / "sea.png", 1000, 750))


def test_a_picture_is_as_wide_as_asked_for_and_never_enlarged(sea: Photograph) -> None:
    images = Images()
    assert decoded(images.photograph(sea, 480, MATTE, None).jpeg).size == (480, 360)
    assert decoded(images.photograph(sea, 3840, MATTE, None).jpeg).size == (1000, 750)


def test_an_upright_photograph_is_as_wide_as_asked_for_too(tmp_path: Path, photograph: Callable[..., Path]) -> None:
    upright = inspect(photograph(tmp_path / "sky.png", 800, 1600))
    assert decoded(Images().photograph(upright, 480, MATTE, None).jpeg).size == (480, 960)


@pytest.mark.parametrize(
    ("size", "width", "longest"),
    [
        (Size(6000, 4000), 480, 480),
        (Size(4000, 6000), 480, 720),
        (Size(400, 600), 480, 600),
        (Size(4000, 40_000), 3840, 20_000),  # 2000x20000 px are 40 million
        (Size(1, 100_000), 480, 65_000),
    ],
)
def test_the_longer_side_keeps_within_what_one_picture_may_hold(size: Size, width: int, longest: int) -> None:
    assert longest_side(size, width) == longest


def test_what_is_sent_looks_like_the_photograph(sea: Photograph) -> None:
    sent = np.asarray(decoded(Images().photograph(sea, 3840, MATTE, None).jpeg), np.float64)
    drawn = np.asarray(Image.open(sea.path).convert("RGB"), np.float64)
    error = np.mean((sent - drawn) ** 2)
    assert 10 * np.log10(255**2 / error) > 38  # of a picture full of grain; 32 is asked for of the page's frames


def test_a_work_squared_up_is_shown_so_and_as_taken_where_that_is_asked_for(sea: Photograph) -> None:
    square = squared_up(sea, ((100, 100), (500, 100), (500, 300), (100, 300)))
    images = Images()
    assert decoded(images.photograph(square, 3840, MATTE, None).jpeg).size == (400, 200)
    small = decoded(images.photograph(squared_up(sea, ((0, 0), (960, 0), (960, 700), (0, 700))), 480, MATTE, None).jpeg)
    assert small.size == pytest.approx((480, 350), abs=1)
    assert decoded(images.photograph(as_taken(square), 3840, MATTE, None).jpeg).size == (1000, 750)
    assert as_taken(square) == sea


def test_pictures_are_kept_in_a_folder_and_read_from_there(sea: Photograph, tmp_path: Path) -> None:
    (tmp_path / "kept").mkdir()
    first = Images().photograph(sea, 480, MATTE, tmp_path / "kept")
    assert [path.name for path in (tmp_path / "kept").iterdir()] == [f"{first.mark}.jpg"]
    sea.path.unlink()
    assert Images().photograph(sea, 480, MATTE, tmp_path / "kept") == first
    with pytest.raises(PhotographError):
        Images().photograph(sea, 480, MATTE, None)


def test_the_mark_tells_contents_looks_and_widths_apart(sea: Photograph) -> None:
    square = squared_up(sea, ((100, 100), (500, 100), (500, 300), (100, 300)))
    marks = [
        photograph_mark(sea, 480, MATTE),
        photograph_mark(sea, 960, MATTE),
        photograph_mark(sea, 480, "#000000"),
        photograph_mark(square, 480, MATTE),
        photograph_mark(replace(sea, sha256="0" * 64), 480, MATTE),
    ]
    assert len(set(marks)) == len(marks)
    assert photograph_mark(replace(sea, name="other.png"), 480, MATTE) == marks[0]


def test_a_folder_that_cannot_be_written_to_costs_nothing_but_time(sea: Photograph, tmp_path: Path) -> None:
    assert Images().photograph(sea, 480, MATTE, tmp_path / "not there").jpeg


def test_a_card_is_drawn_in_the_frame_s_aspect(small_plan: Plan) -> None:
    _, card = small_plan.slots
    images = Images()
    assert decoded(images.card(card, Size(1920, 1080), Look(), 480).jpeg).size == (480, 270)
    assert decoded(images.card(card, Size(320, 180), Look(), 480).jpeg).size == (320, 180)
    with pytest.raises(ValueError, match="slot '01' has no card"):
        images.card(small_plan.slots[0], Size(320, 180), Look(), 480)


def test_the_oldest_pictures_go_first(tmp_path: Path) -> None:
    for number in range(4):
        path = tmp_path / f"{number}.jpg"
        path.write_bytes(b"x" * 10)
        os.utime(path, (number, number))
    prune(tmp_path, 25)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["2.jpg", "3.jpg"]
