from __future__ import annotations

import numpy as np
import pytest
import skimage.data
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from benchmarks.gallery import with_wall
from benchmarks.outlines import verdict
from benchmarks.statues import free_standing
from kenburns.stills.outline.artwork import CONFIDENT, choose, find_work, overlap
from kenburns.stills.outline.candidates import Candidates

Rgb = NDArray[np.uint8]


def on_wall(work: Rgb, left: int, top: int, wall: int = 205) -> Rgb:
    """A work on a plain wall with a little grain, 900 wide and 700 high."""
    scene = np.random.default_rng(4).normal(wall, 1.5, (700, 900, 1)).repeat(3, axis=2)
    scene[top : top + work.shape[0], left : left + work.shape[1]] = work
    return np.clip(scene, 0, 255).astype(np.uint8)


def pictured(name: str) -> Rgb:
    return np.asarray(getattr(skimage.data, name)(), np.uint8)


def box(left: float, top: float, right: float, bottom: float) -> NDArray[np.float64]:
    return np.array([[left, top], [right, top], [right, bottom], [left, bottom]], np.float64)


def test_a_photograph_hung_on_a_plain_wall_is_found_to_a_pixel_or_two() -> None:
    """The picture is scikit-image's coffee, 600x400."""
    found = find_work(on_wall(pictured("coffee"), 150, 140))
    assert found.kind == "rectangle"
    assert found.corners is not None
    assert np.array(found.corners) == pytest.approx(box(150, 140, 750, 540), abs=2.5)


def test_a_disc_on_a_plain_wall_is_found_as_a_mass() -> None:
    y, x = np.mgrid[0:700, 0:900]
    disc = np.hypot(x - 450, y - 350)[:, :, None] < 220
    scene = np.where(disc, np.array([120, 40, 30]), on_wall(np.zeros((1, 1, 3), np.uint8), 0, 0)).astype(np.uint8)
    found = find_work(scene)
    assert found.kind == "mass"
    assert found.corners is not None
    iou = overlap(np.stack([np.array(found.corners), box(230, 130, 670, 570)]))[0][0, 1]
    assert iou > 0.9


@pytest.mark.parametrize("name", ["astronaut", "coffee", "chelsea", "rocket"])
def test_a_photograph_that_shows_no_wall_is_kept_whole_or_not_relied_on(name: str) -> None:
    found = find_work(pictured(name))
    assert found.corners is None or found.confidence < CONFIDENT


def test_an_empty_wall_is_kept_whole() -> None:
    assert find_work(np.full((300, 400, 3), 200, np.uint8)).corners is None


@settings(max_examples=12)
@given(st.integers(1, 300), st.integers(1, 300), st.integers(0, 2**31))
def test_any_picture_gives_an_outline_inside_it_and_a_confidence(height: int, width: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    rgb = rng.integers(0, 256, (height, width, 3), dtype=np.uint8)
    rgb[height // 4 : height // 2] = rng.integers(0, 256, 3)
    found = find_work(rgb)
    assert 0 <= found.confidence <= 1
    assert found == find_work(rgb)
    if found.corners is None:
        assert found.kind == "whole"
    else:
        corners = np.array(found.corners)
        assert ((corners >= 0) & (corners <= (width, height))).all()


def test_painted_gallery_photographs_give_mostly_right_outlines() -> None:
    """A small sample of the benchmark, with a bound well below its figures."""
    verdicts = [verdict(with_wall(seed)) for seed in range(9000, 9012)]
    assert sum(v.iou >= 0.95 for v in verdicts) >= 7
    verdicts = [verdict(free_standing(seed)) for seed in range(9000, 9006)]
    assert sum(v.iou >= 0.8 for v in verdicts) >= 3


@pytest.mark.parametrize("wrong", [np.zeros((9, 9), np.uint8), np.zeros((9, 9, 3), np.float32)])
def test_other_arrays_are_refused(wrong: Rgb) -> None:
    with pytest.raises(ValueError, match="uint8 of shape"):
        find_work(wrong)


def nested(*shares: tuple[float, float, float, float], ringed: tuple[bool, ...] | None = None) -> Candidates:
    ringed = ringed or (False,) * len(shares)
    return Candidates(np.stack([box(*each) for each in shares]), np.zeros((len(shares), 20)), np.array(ringed), 0)


def test_of_a_frame_and_a_work_nearly_as_likely_the_outer_line_is_taken() -> None:
    found = nested((0, 0, 1, 1), (0.2, 0.2, 0.8, 0.8), (0.25, 0.25, 0.75, 0.75))
    assert choose(found, np.array([0.02, 0.45, 0.53]))[0] == 1


def test_the_inner_line_is_taken_when_it_is_nearly_certain() -> None:
    found = nested((0, 0, 1, 1), (0.2, 0.2, 0.8, 0.8), (0.25, 0.25, 0.75, 0.75))
    index, confidence = choose(found, np.array([0.005, 0.015, 0.98]))
    assert index == 2
    assert confidence == pytest.approx(0.98)


def test_an_outline_with_an_even_ring_around_it_is_never_relied_on() -> None:
    found = nested((0, 0, 1, 1), (0.25, 0.25, 0.75, 0.75), ringed=(False, True))
    index, confidence = choose(found, np.array([0.0, 1.0]))
    assert index == 1
    assert confidence < CONFIDENT


def test_the_whole_is_kept_where_nothing_is_sure() -> None:
    found = nested((0, 0, 1, 1), (0.1, 0.1, 0.5, 0.5), (0.5, 0.5, 0.9, 0.9), (0.1, 0.5, 0.5, 0.9))
    assert choose(found, np.array([0.25, 0.25, 0.25, 0.25]))[0] == 0


def test_overlaps_are_those_counted_by_hand() -> None:
    """Unit squares half over one another share 1/2 of 3/2; a square in one of twice its side fills a quarter of it."""
    iou, cut = overlap(np.stack([box(0, 0, 1, 1), box(0.5, 0, 1.5, 1), box(0, 0, 2, 2)]))
    assert iou[0, 1] == pytest.approx(1 / 3)
    assert iou[0, 2] == pytest.approx(1 / 4)
    assert cut[0] == pytest.approx([0, 1 / 2, 3 / 4])
    assert cut[2] == pytest.approx([0, 0, 0])
