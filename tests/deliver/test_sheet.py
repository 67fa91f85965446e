from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kenburns.cards.look import contrast
from kenburns.deliver.sheet import VERDICTS, Sheet, SheetEntry, UnusedStill
from kenburns.deliver.sheet_marks import CALL, GROUND, INK, QUIET, mark_picture, mark_svg


def entry(**changes: Any) -> SheetEntry:
    return replace(SheetEntry("7", "", "", "", "", "", "good"), **changes)


def test_an_unknown_verdict_is_refused_with_those_that_work() -> None:
    with pytest.raises(ValueError, match="one of good, short, small, words, missing, unreadable, not 'fine'"):
        entry(verdict="fine")
    with pytest.raises(ValueError, match="not 'fine'"):
        UnusedStill("sea.jpg", "fine")


@pytest.mark.parametrize(
    "picture", [np.zeros((2, 2), np.uint8), np.zeros((2, 2, 4), np.uint8), np.zeros((2, 2, 3), np.float64)]
)
def test_a_picture_that_is_not_8_bit_rgb_is_refused(picture: object) -> None:
    with pytest.raises(ValueError, match=r"a picture of '7' is .* must be uint8 \(height, width, 3\)"):
        entry(picture=picture)
    with pytest.raises(ValueError, match="a picture of '7'"):
        entry(frames=(picture,))


@pytest.mark.parametrize("detail", [(-0.1, 0, 0.5, 0.5), (0.6, 0, 0.5, 0.5), (0, 0.6, 0.5, 0.5), (0, 0, 0, 0.5)])
def test_a_detail_outside_its_picture_is_refused(detail: tuple[float, float, float, float]) -> None:
    with pytest.raises(ValueError, match="is not a rectangle in shares"):
        entry(details=(detail,))


def test_a_detail_that_ends_at_the_edge_is_kept_despite_rounding() -> None:
    assert 0.7 + 0.1 + 0.2 > 1 - 1e-9
    assert entry(details=((0.1, 0.2, 0.9 + 1e-12, 0.8),)).details


def test_what_needs_a_look_is_what_is_not_plainly_good() -> None:
    assert not entry().attention
    assert entry(verdict="short").attention
    assert entry(flags=("a move was made smaller",)).attention
    assert entry(card=True).attention


def test_a_card_is_shown_in_place_of_the_still_and_then_not_again(small_sheet: Sheet) -> None:
    still, _, card, empty = small_sheet.entries
    assert still.shown is still.picture
    assert len(still.moments) == 3
    assert card.shown is card.frames[0]
    assert card.moments == ()
    assert empty.shown is None


def test_every_ink_of_the_sheet_meets_seven_to_one_on_its_neutral_ground() -> None:
    # WCAG 2.2, 1.4.6.
    assert all(contrast(colour, GROUND) >= 7 for colour in (INK, QUIET, CALL))
    assert GROUND[1:3] == GROUND[3:5] == GROUND[5:7]


def test_verdicts_differ_in_shape_and_not_only_in_colour() -> None:
    # As a person without colour sees them (WCAG 2.2, 1.4.1): each mark as a mask, ground or not.
    ground = int(GROUND[1:3], 16)
    masks = {bytes(np.abs(np.asarray(mark_picture(v, 16)).astype(int).max(axis=2) - ground) > 60) for v in VERDICTS}
    assert len(masks) == len(VERDICTS)
    assert len({mark_svg(verdict) for verdict in VERDICTS}) == len(VERDICTS)
