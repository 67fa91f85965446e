from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kenburns.cards.look import FLOOR, LEAST_CONTRAST, Look, contrast, luminance, rgb

COLOURS = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")


def test_luminance_runs_from_black_0_to_white_1() -> None:
    # WCAG 2.2, relative luminance: "normalized to 0 for darkest black and 1 for lightest white".
    assert luminance("#000000") == 0
    assert luminance("#ffffff") == pytest.approx(1, abs=1e-12)


@pytest.mark.parametrize(
    ("a", "b", "ratio"),
    [
        # WCAG 2.2, contrast ratio: ratios range from 1 to 21.
        ("#000000", "#ffffff", 21.0),
        ("#808080", "#808080", 1.0),
        # Values often quoted for WCAG, from memory: the lightest grey on white at AA, and the three pure primaries.
        ("#767676", "#ffffff", 4.54),
        ("#ff0000", "#ffffff", 4.00),
        ("#0000ff", "#ffffff", 8.59),
        ("#00ff00", "#000000", 15.30),
    ],
)
def test_contrast_gives_the_known_ratios(a: str, b: str, ratio: float) -> None:
    assert contrast(a, b) == pytest.approx(ratio, abs=0.005)


@given(COLOURS, COLOURS)
def test_contrast_is_the_same_in_either_order_and_lies_in_1_to_21(a: str, b: str) -> None:
    assert contrast(a, b) == contrast(b, a)
    assert 1 <= contrast(a, b) <= 21.0000001


def test_every_ink_of_the_default_look_meets_aaa() -> None:
    look = Look()
    assert contrast(look.ink, look.ground) >= LEAST_CONTRAST
    assert contrast(look.quiet, look.ground) >= LEAST_CONTRAST


def test_a_faint_ink_is_refused_with_the_ratio_it_has() -> None:
    with pytest.raises(ValueError, match=r"quiet #767676 on ground #ffffff has a contrast of 4\.54:1.*at least 7:1"):
        Look(ground="#ffffff", ink="#000000", quiet="#767676")


def test_a_ratio_just_short_of_the_rule_is_not_printed_as_if_it_met_it() -> None:
    # #595959 on white is 7.00 rounded; one step lighter misses the rule.
    Look(ground="#ffffff", ink="#595959", quiet="#595959")
    with pytest.raises(ValueError, match=r"contrast of 6\.\d\d:1"):
        Look(ground="#ffffff", ink="#5a5a5a", quiet="#595959")


@pytest.mark.parametrize("colour", ["161616", "#16161", "#16161g", "grey", "#161616ff", "#161616\n"])
def test_a_colour_in_another_writing_is_refused(colour: str) -> None:
    with pytest.raises(ValueError, match=re.escape(f"not {colour!r}")):
        rgb(colour)


@pytest.mark.parametrize(
    ("title", "body", "small"), [(0.05, 0.06, 0.03), (0.08, 0.05, FLOOR - 0.001), (0.3, 0.05, 0.03), (0.08, 0.03, 0.04)]
)
def test_sizes_out_of_order_or_range_are_refused(title: float, body: float, small: float) -> None:
    with pytest.raises(ValueError, match="text sizes are shares of the frame's height"):
        Look(title=title, body=body, small=small)
