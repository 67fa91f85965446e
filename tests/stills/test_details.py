from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
import pytest
import skimage.data
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from kenburns.motion.geometry import Rect, Size, bounds, filling, overlap
from kenburns.stills.interest.details import CLOSER, LEAST_CLOSER, MOST_OVERLAP, Detail, propose_details
from kenburns.stills.interest.saliency import saliency

HD, UHD = Size(1920, 1080), Size(3840, 2160)


def spots(*places: tuple[int, int, float]) -> NDArray[np.float32]:
    """A map 60 wide and 40 high, dark but for 3x3 spots (x, y, value)."""
    found = np.zeros((40, 60), np.float32)
    for x, y, value in places:
        found[y - 1 : y + 2, x - 1 : x + 2] = value
    return found


def assert_apart(details: Sequence[Detail]) -> None:
    for a, b in itertools.combinations(details, 2):
        assert overlap(a.rect, b.rect) <= MOST_OVERLAP * min(a.rect.area, b.rect.area) * (1 + 1e-9)


def test_three_spots_are_three_details_ranked_and_centred() -> None:
    still = Size(6000, 4000)  # 100 source pixels a map cell
    details = propose_details(spots((10, 8, 0.5), (48, 10, 1.0), (30, 32, 0.25)), still, HD)
    assert len(details) == 3
    assert details[0].score > details[1].score > details[2].score
    middles = [d.rect.centre for d in details]
    for middle, spot in zip(middles, [(4850, 1050), (1050, 850), (3050, 3250)], strict=True):
        assert abs(middle[0] - spot[0]) <= 600
        assert abs(middle[1] - spot[1]) <= 400


@settings(max_examples=60)
@given(
    still=st.builds(Size, st.integers(200, 9000), st.integers(200, 9000)),
    frame=st.sampled_from([HD, UHD, Size(1080, 1920), Size(1080, 1080), Size(2048, 1080), Size(333, 197)]),
    least=st.sampled_from([1.0, 1.3]),
    seed=st.integers(0, 5),
    inset=st.sampled_from([0.0, 0.07, 0.3]),
)
def test_every_detail_bears_the_frame_at_1_to_1(
    still: Size, frame: Size, least: float, seed: int, inset: float
) -> None:
    share = 1 - 2 * inset
    area = Rect(still.width * inset, still.height * inset, still.width * share, still.height * share)
    found = np.random.default_rng(seed).random((40, 60), np.float32)
    details = propose_details(found, still, frame, work=area, least=least)
    for detail in details:
        assert detail.rect.width >= frame.width * least
        assert detail.rect.height >= frame.height
        assert detail.rect.height == detail.rect.width * frame.height / frame.width
        assert detail.rect.within(area)
        assert 0 <= detail.score <= 1
    assert_apart(details)
    assert details == propose_details(found, still, frame, work=area, least=least)
    assert all(detail.rect.width <= filling(area, frame).width / LEAST_CLOSER for detail in details)
    if filling(area, frame).width >= 1.1 * max(frame.width * least, 20):
        assert details


def test_a_picture_too_small_gives_none() -> None:
    found = np.ones((40, 60), np.float32)
    assert propose_details(found, Size(1920, 1080), HD) == ()
    assert propose_details(found, Size(1800, 4000), HD) == ()
    assert propose_details(found, Size(6000, 4000), HD, work=Rect(100, 100, 1000, 1000)) == ()
    assert propose_details(found, Size(6000, 4000), HD, work=Rect(7000, 0, 1000, 1000)) == ()


def test_where_nothing_stands_out_a_detail_is_clearly_closer_than_the_whole() -> None:
    still = Size(12000, 8000)
    (first, *_) = propose_details(np.ones((40, 60), np.float32), still, HD)
    assert CLOSER / 2 < filling(bounds(still), HD).width / first.rect.width < CLOSER * 2


@pytest.mark.parametrize("diameter", [700, 1000, 1500, 2000])
def test_the_size_follows_what_is_there(diameter: int) -> None:
    """A disc of interest is shown nearly whole and fills the view, whatever its size."""
    y, x = np.mgrid[0:267, 0:400]
    found = (np.hypot(x - 160, y - 130) < diameter / 40).astype(np.float32)  # 20 source px a cell
    (first, *_) = propose_details(found, Size(8000, 5340), Size(1280, 720))
    assert 0.85 * diameter < first.rect.height < 2 * diameter
    middle = first.rect.centre
    assert np.hypot(middle[0] - 3200, middle[1] - 2600) < 0.3 * first.rect.height


def test_between_equals_the_middle_wins() -> None:
    (first,) = propose_details(np.ones((40, 60), np.float32), Size(8000, 6000), HD, count=1)
    assert first.rect.centre == pytest.approx((4000, 3000), rel=0.07)  # of the places tried, the nearest


def test_a_first_detail_in_the_middle_gives_way_where_it_would_leave_no_room() -> None:
    """5640x3172 at HD: details of 2256 px, so a centred one leaves strips of 1692 and 951 px, too narrow for more."""
    assert len(propose_details(np.ones((40, 60), np.float32), Size(5640, 3172), HD)) == 3


def test_a_first_detail_far_better_than_all_others_stays_alone() -> None:
    (only,) = propose_details(spots((30, 20, 1.0)), Size(5640, 3172), HD)
    assert only.score > 0.5


def test_an_empty_map_is_as_good_as_an_even_one() -> None:
    still = Size(8000, 6000)
    dark, even = np.zeros((40, 60), np.float32), np.ones((40, 60), np.float32)
    assert propose_details(dark, still, HD) == propose_details(even, still, HD)


def test_off_the_centre_a_subject_is_caught_where_the_centre_baseline_misses_it() -> None:
    y, x = np.mgrid[0:200, 0:300]
    disc = np.hypot(x - 60, y - 150)[..., None] < 15
    ground = np.random.default_rng(1).integers(30, 50, (200, 300, 1))
    rgb = np.where(disc, np.array([230, 200, 60]), ground).astype(np.uint8)
    still = Size(6000, 4000)
    (first, *_) = propose_details(saliency(rgb), still, HD)
    subject = Rect(45 * 20, 135 * 20, 30 * 20, 30 * 20)
    centred = Rect(3000 - first.rect.width / 2, 2000 - first.rect.height / 2, first.rect.width, first.rect.height)
    assert overlap(first.rect, subject) == pytest.approx(subject.area)
    assert overlap(centred, subject) == 0


def test_on_real_photographs_details_are_found_inside_and_apart() -> None:
    for name in ("astronaut", "coffee", "chelsea", "rocket"):
        picture = getattr(skimage.data, name)()
        still = Size(picture.shape[1], picture.shape[0])
        details = propose_details(saliency(picture), still, Size(96, 54))
        assert len(details) >= 2
        assert all(detail.rect.within(bounds(still)) for detail in details)
        assert_apart(details)


@pytest.mark.parametrize(("count", "least"), [(-1, 1.0), (3, 0.5)])
def test_impossible_wishes_are_a_caller_s_mistake(count: int, least: float) -> None:
    with pytest.raises(ValueError, match="at least"):
        propose_details(np.ones((4, 4), np.float32), Size(6000, 4000), HD, count, least=least)


@pytest.mark.parametrize(
    "wrong", [np.zeros((0, 4)), np.zeros((4, 4, 3)), np.full((4, 4), -1.0), np.full((4, 4), np.nan)]
)
def test_a_map_of_another_kind_is_a_caller_s_mistake(wrong: NDArray[np.float64]) -> None:
    with pytest.raises(ValueError, match="the map needs"):
        propose_details(wrong.astype(np.float32), Size(6000, 4000), HD)
