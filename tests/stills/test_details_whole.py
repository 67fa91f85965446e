"""What a detail must not cut, and what it is said to show."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from kenburns.motion.geometry import Rect, Size, bounds, overlap
from kenburns.stills.interest.details import MOST_OVERLAP, REASONS, Detail, propose_details
from kenburns.stills.interest.placing import ladder
from kenburns.stills.interest.wholeness import cuts, head_of

STILL, FRAME = Size(6000, 4000), Size(1280, 720)
EVEN = np.ones((40, 60), np.float32)
NEAR = 1e-6  # px


def is_cut(whole: Rect, view: Rect) -> bool:
    """Whether a part of `whole` is shown and a part is not, told by areas."""
    shown = overlap(whole, view)
    return NEAR * (whole.width + whole.height) < shown < whole.area - NEAR * (whole.width + whole.height)


def cuts_none_somewhere(area: Rect, widths: Sequence[int], wholes: Sequence[Rect]) -> bool:
    """Whether some view cuts none: of all that do not, one is stopped at its left and its top by an edge."""
    return any(not any(is_cut(whole, view) for whole in wholes) for view in stopped(area, widths, wholes))


def stopped(area: Rect, widths: Sequence[int], wholes: Sequence[Rect]) -> Iterator[Rect]:
    for width in widths:
        height = width * FRAME.height / FRAME.width
        xs = {area.x, *(w.right for w in wholes), *(w.right - width for w in wholes)}
        ys = {area.y, *(w.bottom for w in wholes), *(w.bottom - height for w in wholes)}
        for x, y in itertools.product(xs, ys):
            inside = x >= area.x and y >= area.y and x + width <= area.right and y + height <= area.bottom
            if inside:
                yield Rect(x, y, width, height)


parts = st.builds(Rect, st.integers(0, 4500), st.integers(0, 3000), st.integers(80, 1500), st.integers(60, 1000))


@settings(max_examples=80)
@given(
    faces=st.lists(parts, max_size=4),
    writing=st.lists(parts, max_size=3),
    seed=st.integers(0, 99),
    work=st.sampled_from([bounds(STILL), Rect(300, 200, 5200, 3600), Rect(1000.5, 700.25, 1500, 950)]),
)
def test_nothing_is_cut_where_a_place_cuts_nothing(
    faces: list[Rect], writing: list[Rect], seed: int, work: Rect
) -> None:
    inner = [[part for part in given_parts if part.within(work)] for given_parts in (faces, writing)]
    faces, writing = inner
    found = np.random.default_rng(seed).random((40, 60), np.float32) ** 4
    details = propose_details(found, STILL, FRAME, work=work, faces=faces, writing=writing)
    heads = [head_of(face, work) for face in faces]
    widths = ladder(work, FRAME, 1.0)
    for wholes in ([*heads, *writing], [*faces, *writing], faces):
        if cuts_none_somewhere(work, widths, wholes):
            assert details
            assert not any(is_cut(whole, detail.rect) for whole in wholes for detail in details)
            break
    assert_usual(details, work)


def assert_usual(details: Sequence[Detail], work: Rect) -> None:
    assert all(detail.rect.within(work) and detail.rect.width >= FRAME.width for detail in details)
    assert all(detail.reason in REASONS and 0 <= detail.score <= 1 for detail in details)
    assert [d.score for d in details] == sorted((d.score for d in details), reverse=True)
    for a, b in itertools.combinations(details, 2):
        assert overlap(a.rect, b.rect) <= MOST_OVERLAP * min(a.rect.area, b.rect.area) * (1 + 1e-9)


@settings(max_examples=40)
@given(view=parts, whole=parts)
def test_cut_is_shown_in_part(view: Rect, whole: Rect) -> None:
    assume(view != whole)
    assert cuts(view, whole) == is_cut(whole, view)


def test_touching_edges_cut_nothing() -> None:
    view = Rect(0, 0, 100, 100)
    assert not cuts(view, Rect(100, 20, 50, 50))
    assert not cuts(view, Rect(50, 50, 50, 50))
    assert cuts(view, Rect(50, 50, 51, 50))


def test_a_head_is_a_face_with_hair_ears_and_neck_as_far_as_the_work_goes() -> None:
    assert head_of(Rect(1000, 1000, 100, 200), bounds(STILL)) == Rect(970, 910, 160, 350)
    assert head_of(Rect(0, 0, 100, 200), bounds(STILL)) == Rect(0, 0, 130, 260)


@pytest.mark.parametrize("face", [Rect(4200, 900, 400, 500), Rect(900, 2200, 250, 330), Rect(2700, 300, 700, 900)])
def test_a_face_is_shown_whole_with_its_eyes_near_the_upper_third(face: Rect) -> None:
    (first, *_) = propose_details(EVEN, STILL, FRAME, faces=[face])
    assert first.reason == "face"
    assert head_of(face, bounds(STILL)).within(first.rect)
    eyes = (face.y + 0.4 * face.height - first.rect.y) / first.rect.height
    assert 0.2 < eyes < 0.5  # common practice: on the upper third
    assert 0.15 < face.height / first.rect.height < 0.6
    assert abs(face.centre[0] - first.rect.centre[0]) < 0.2 * first.rect.width


def test_a_signature_in_the_corner_is_among_the_details() -> None:
    signature = Rect(5000, 3700, 600, 120)
    details = propose_details(EVEN, STILL, FRAME, writing=[signature])
    (shown,) = [detail for detail in details if detail.reason == "inscription"]
    assert signature.within(shown.rect)
    assert signature.width > 0.3 * shown.rect.width


def test_a_face_larger_than_any_detail_may_be_cut_rather_than_nothing_shown() -> None:
    assert propose_details(EVEN, STILL, FRAME, faces=[Rect(100, 50, 5800, 3900)])


def test_a_face_mostly_outside_the_work_counts_for_nothing() -> None:
    outside = Rect(0, 1000, 350, 400)
    work = Rect(300, 200, 5200, 3600)
    with_it = propose_details(EVEN, STILL, FRAME, work=work, faces=[outside])
    assert with_it == propose_details(EVEN, STILL, FRAME, work=work)


def picture(colour: bool = False, contrast: bool = False, texture: bool = False) -> NDArray[np.uint8]:
    """A grey ground, 600x400, with one part of more of something, 120x70 at (100, 100)."""
    rng, rgb = np.random.default_rng(4), np.full((400, 600, 3), 120, np.uint8)
    part = rgb[100:170, 100:220]
    if colour:
        part[:] = (130, 110, 40)
    if contrast:
        part[10:60, 20:100] = 230
    if texture:
        part[:] = 120 + rng.integers(-12, 13, (70, 120, 1))
    return rgb


@pytest.mark.parametrize(
    ("rgb", "reason"),
    [
        (picture(colour=True), "most colour"),
        (picture(contrast=True), "highest contrast"),
        (picture(texture=True), "finest texture"),
        (picture(), "centre of interest"),
    ],
)
def test_a_detail_is_named_for_what_it_has_most_of(rgb: NDArray[np.uint8], reason: str) -> None:
    found = np.zeros((40, 60), np.float32)
    found[10:17, 10:22] = 1
    (first, *_) = propose_details(found, STILL, FRAME, rgb=rgb)
    assert first.reason == reason


def test_of_two_equals_the_one_that_looks_different_comes_second() -> None:
    """Three spots alike on the map: after the middle one, the blue one goes before the one like the first."""
    found, rgb = np.zeros((40, 60), np.float32), np.full((400, 600, 3), 128, np.uint8)
    for x, level, colour in ((5, 0.9, (200, 60, 40)), (27, 1.0, (200, 60, 40)), (49, 0.9, (40, 60, 200))):
        found[17:23, x : x + 6] = level
        rgb[130:270, x * 10 - 40 : x * 10 + 100] = colour
    details = propose_details(found, STILL, FRAME, rgb=rgb)
    assert [round(d.rect.centre[0], -3) for d in details] == [3000, 5000, 1000]


def test_every_reason_is_a_short_plain_word_or_two() -> None:
    assert REASONS == ("face", "inscription", "highest contrast", "most colour", "finest texture", "centre of interest")
