"""Keyframes play back to the path they were made of.

The easing curves are worked out a second time here, with coloraide's cubic_bezier (facelessuser's library, after
W3C css-easing-1), and a compositor's straight lines with them: nothing of the code under test plays in that check.
"""

from __future__ import annotations

import re
from fractions import Fraction

import numpy as np
import pytest
from coloraide import easing as reference
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from kenburns.motion.bezier_fit import STARTS, fit_bezier
from kenburns.motion.easing import cubic_bezier
from kenburns.motion.geometry import Rect, Size
from kenburns.motion.keyframes import Keyframe, farthest_corner, play, reduce_to_keyframes
from kenburns.motion.path import shot_path, speed_limit
from kenburns.motion.shots import KINDS, Pace, plan_shots

Values = NDArray[np.float64]
HD = Size(1920, 1080)
BEZIER = re.compile(r"cubic-bezier\((\S+), (\S+), (\S+), (\S+)\)")


def views(*rows: tuple[float, float, float]) -> Values:
    """Return a path from x, y and width, in the frame's aspect 16:9."""
    return np.array([(x, y, width, width * 9 / 16) for x, y, width in rows])


def eased(shares: Values, one: tuple[float, float, float], other: tuple[float, float, float]) -> Values:
    return views(*(tuple(np.array(one) + share * (np.array(other) - np.array(one))) for share in shares))


def frames(keyframes: tuple[Keyframe, ...]) -> list[int]:
    return [keyframe.frame for keyframe in keyframes]


def easings(keyframes: tuple[Keyframe, ...]) -> list[str]:
    return [keyframe.easing for keyframe in keyframes]


def share_of(easing: str, time: float) -> float:
    found = BEZIER.fullmatch(easing)
    if not found:
        return {"linear": time, "hold": 0.0}[easing]
    x1, y1, x2, y2 = map(float, found.groups())
    return reference.cubic_bezier(x1, y1, x2, y2)(time)


def composited(keyframes: tuple[Keyframe, ...], length: int) -> Values:
    """Return what a compositor shows: the last keyframe not after the frame, led over to the next one."""
    rows = []
    for frame in range(length):
        place = max(i for i, keyframe in enumerate(keyframes) if keyframe.frame <= frame)
        one, after = keyframes[place], keyframes[min(place + 1, len(keyframes) - 1)]
        share = share_of(one.easing, (frame - one.frame) / max(after.frame - one.frame, 1))
        rows.append([a * (1 - share) + b * share for a, b in zip(one.view, after.view, strict=True)])
    return np.array(rows)


def corner_distance(path: Values, other: Values) -> float:
    return max(
        float(np.hypot(*(a[:2] + sign * a[2:] - b[:2] - sign * b[2:])))
        for a, b in zip(path, other, strict=True)
        for sign in (np.array(pair) for pair in ((0, 0), (1, 0), (0, 1), (1, 1)))
    )


# ---- worked by hand


def test_a_hold_is_one_keyframe() -> None:
    assert reduce_to_keyframes(views(*[(1, 2, 320)] * 9)) == (Keyframe(0, 1, 2, 320, 180, "hold"),)
    assert reduce_to_keyframes(views((1, 2, 320))) == (Keyframe(0, 1, 2, 320, 180, "hold"),)


def test_an_even_move_is_its_two_ends() -> None:
    path = views((0, 0, 640), (40, 20, 560), (80, 40, 480), (120, 60, 400))
    assert reduce_to_keyframes(path) == (
        Keyframe(0, 0, 0, 640, 360, "linear"),
        Keyframe(3, 120, 60, 400, 225, "hold"),
    )


def test_rests_begin_and_end_on_keyframes() -> None:
    path = views(*[(0, 0, 320)] * 4, (10, 0, 320), (20, 0, 320), *[(30, 0, 320)] * 3, (20, 0, 320), (10, 0, 320))
    keyframes = reduce_to_keyframes(path)
    assert frames(keyframes) == [0, 3, 6, 8, 10]
    assert easings(keyframes) == ["hold", "linear", "hold", "linear", "hold"]


def test_a_corner_in_the_way_is_a_keyframe() -> None:
    path = views(*[(10 * n, 0, 320) for n in range(5)], *[(40, 10 * n, 320) for n in range(1, 5)])
    assert frames(reduce_to_keyframes(path)) == [0, 4, 8]


def test_there_and_back_is_three_keyframes() -> None:
    path = views((0, 0, 320), (10, 0, 320), (20, 0, 320), (10, 0, 320), (0, 0, 320))
    assert frames(reduce_to_keyframes(path)) == [0, 2, 4]


@pytest.mark.parametrize("curve", [(0.25, 0.1, 0.25, 1.0), (0.42, 0.0, 1.0, 1.0), (0.0, 0.0, 0.58, 1.0)])
def test_a_move_with_a_css_easing_is_its_two_ends_with_that_easing(curve: tuple[float, float, float, float]) -> None:
    # W3C css-easing-1: ease, ease-in and ease-out
    shares = np.array([reference.cubic_bezier(*curve)(t) for t in np.linspace(0, 1, 101)])
    keyframes = reduce_to_keyframes(eased(shares, (0, 0, 3840), (600, 300, 1920)))
    assert frames(keyframes) == [0, 100]
    found = [share_of(keyframes[0].easing, t) for t in np.linspace(0, 1, 101)]
    assert found == pytest.approx(shares, abs=1e-5)


def test_playing_stays_between_its_keyframes_exactly() -> None:
    one, other = (
        Keyframe(0, 0.1, 0.3, 1920, 1080, "cubic-bezier(0.3, 0, 0.6, 1)"),
        Keyframe(9, 7, 3, 1920, 1080, "hold"),
    )
    path = play((one, other), 12)
    assert np.all(path[:, 2:] == (1920, 1080))
    assert tuple(path[0]) == one.view
    assert tuple(path[9]) == tuple(path[11]) == other.view


def test_on_its_own_frame_a_keyframes_view_is_its_own_to_the_last_bit() -> None:
    assert -72.4 + (6.3 - -72.4) == 6.299999999999997  # IEEE 754, binary64: a sum may miss its end
    one, other = Keyframe(0, -72.4, 0, 1920, 1080, "linear"), Keyframe(5, 6.3, 0, 1920, 1080, "hold")
    path = play((one, other), 8)
    assert [tuple(view) for view in (path[0], path[5], path[7])] == [one.view, other.view, other.view]


# ---- real shots


@st.composite
def shots(draw: st.DrawFn) -> list[Values]:
    still = Size(draw(st.integers(1500, 12_000)), draw(st.integers(1000, 9000)))
    place, length = st.floats(0, 8000), st.floats(500, 5000)
    details = draw(st.lists(st.builds(Rect, place, place, length, length), max_size=3))
    easing = draw(st.sampled_from(["linear", "sine", "cubic", "minimum-jerk", "cubic-bezier(0.6, 0, 0.2, 1)"]))
    limit = draw(st.sampled_from([speed_limit(HD, Fraction(25)), None]))
    hold = st.integers(0, 20)
    pace = Pace(easing, draw(hold), draw(hold), draw(hold), limit, 1.25)
    count = draw(st.integers(1, 150))
    cues = draw(st.lists(st.integers(0, count), max_size=2))
    planned = plan_shots(draw(st.sampled_from(KINDS)), still, details, HD, count, pace, cues=cues)
    return [shot_path(shot, still, HD) for shot in planned]


@settings(max_examples=60)
@given(shots(), st.sampled_from([0.1, 1.0, 0.01]))
def test_any_shot_is_reproduced_within_the_tolerance(paths: list[Values], tolerance: float) -> None:
    for path in paths:
        keyframes = reduce_to_keyframes(path, tolerance)
        played = play(keyframes, len(path))
        assert farthest_corner(played, path) <= tolerance
        assert np.all(played[:, 2:] >= (HD.width, HD.height))
        assert frames(keyframes) == sorted(set(frames(keyframes)))
        still = np.flatnonzero(np.all(path[1:] == path[:-1], axis=1))
        assert np.all(played[still] == path[still])


@settings(max_examples=25)
@given(shots())
def test_a_compositor_with_another_easing_code_shows_the_same_within_a_tenth_of_a_pixel(paths: list[Values]) -> None:
    for path in paths:
        assert corner_distance(composited(reduce_to_keyframes(path), len(path)), path) <= 0.1 + 1e-6


@pytest.mark.parametrize("kind", ["push in", "pan", "tour"])
def test_no_other_choice_of_keyframes_on_the_path_is_smaller(kind: str) -> None:
    details = (Rect(300, 200, 2000, 1125), Rect(3000, 2500, 1920, 1080))
    pace = Pace("sine", 0, 0, 0, None, 1.25)
    (shot,) = plan_shots(kind, Size(6000, 4000), details, HD, 16, pace)
    path = shot_path(shot, Size(6000, 4000), HD)
    fewest = [0] * len(path)
    for last in range(1, len(path)):
        starts = [first for first in range(last) if len(reduce_to_keyframes(path[first : last + 1])) == 2]
        fewest[last] = 1 + min(fewest[first] for first in starts)
    assert len(reduce_to_keyframes(path)) == fewest[-1] + 1


def test_a_larger_tolerance_needs_no_more_keyframes() -> None:
    (shot,) = plan_shots(
        "push in", Size(8000, 6000), [Rect(5000, 400, 2000, 1125)], HD, 250, Pace("sine", 10, 10, 10, None, 2)
    )
    path = shot_path(shot, Size(8000, 6000), HD)
    counts = [len(reduce_to_keyframes(path, tolerance)) for tolerance in (0.01, 0.1, 1, 10)]
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > counts[-1]


# ---- the fit


@settings(max_examples=40)
@given(st.tuples(*[st.floats(0.05, 0.8)] * 4))
@example((0.0625, 0.0546875, 0.0625, 0.75))  # leaps away at once, which takes many steps
def test_a_curve_is_found_again(curve: tuple[float, float, float, float]) -> None:
    t = np.linspace(0, 1, 60)
    y = cubic_bezier(t, *curve)
    fits = [fit_bezier(t, y, start) for start in STARTS]
    assert min(float(np.abs(cubic_bezier(t, *fit) - y).max()) for fit in fits) < 2e-3


@given(st.lists(st.floats(0, 1), min_size=2, max_size=30).map(sorted))
def test_any_rising_course_gets_a_curve_that_stays_between_its_ends(course: list[float]) -> None:
    x1, y1, x2, y2 = fit_bezier(np.linspace(0, 1, len(course)), np.array(course), STARTS[0])
    assert 0 <= min(x1, y1, x2, y2) <= max(x1, y1, x2, y2) <= 1


# ---- what is asked


@pytest.mark.parametrize("shape", [(0, 4), (5, 3), (4,)])
def test_a_path_of_another_shape_is_refused(shape: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="x, y, width and height"):
        reduce_to_keyframes(np.zeros(shape))


@pytest.mark.parametrize("tolerance", [0.0, -1.0, float("nan")])
def test_a_tolerance_that_is_not_above_0_is_refused(tolerance: float) -> None:
    with pytest.raises(ValueError, match="above 0 px"):
        reduce_to_keyframes(views((0, 0, 320)), tolerance)
