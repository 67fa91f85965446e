from __future__ import annotations

import pytest
from bidi import get_display
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.cards.bidi import base_level, levels, visual_order
from kenburns.cards.breaking import directed

# One or two of every class of Unicode Annex 9 that text keeps: L, R, AL, EN, AN, ES, ET, CS, NSM, WS, ON, brackets.
CLASSES = "abאבصض12٣٤+-%€,:\u05b8\u0651 !&()[]"
OPENING = str.maketrans(")]", "([")


def shown(text: str, base: int) -> str:
    """Return the characters of a line from left to right."""
    return "".join(text[k] for k in visual_order(levels(text, base)))


@given(st.text(CLASSES, min_size=1, max_size=14), st.sampled_from([0, 1]))
@settings(max_examples=600)
def test_every_line_is_ordered_as_the_reference_does(text: str, base: int) -> None:
    # Outside reference: python-bidi 0.6 (the unicode-bidi crate, which passes Unicode's BidiCharacterTest).
    # It turns brackets round, which here the shaper does: either of a pair counts as the same.
    assert shown(text, base).translate(OPENING) == get_display(text, base_dir="R" if base else "L").translate(OPENING)


@pytest.mark.parametrize(
    ("text", "base", "expected"),
    [
        # Worked by the rules of Unicode Annex 9.
        ("abc", 0, (0, 0, 0)),
        ("אב", 1, (1, 1)),
        ("a אב", 0, (0, 0, 1, 1)),
        ("אב 12", 1, (1, 1, 1, 2, 2)),
        ("אב a", 1, (1, 1, 1, 2)),
        # W2: European digits after an Arabic letter are Arabic numbers.
        ("ص1", 0, (1, 2)),
        # N0: brackets around Latin in a Hebrew line keep the line's direction when Hebrew stands before them.
        ("א(a)", 1, (1, 1, 2, 1)),
    ],
)
def test_levels_of_worked_examples(text: str, base: int, expected: tuple[int, ...]) -> None:
    assert levels(text, base) == expected


def test_a_joiner_goes_with_the_letter_before_it() -> None:
    assert levels("نـ\u200cه a", 0) == (1, 1, 1, 1, 0, 0)


@pytest.mark.parametrize(("text", "level"), [("12 אב", 1), ("«ص", 1), ("12 ab ص", 0), ("1", 0), ("", 0)])
def test_the_first_strong_letter_sets_the_direction(text: str, level: int) -> None:
    assert base_level(text) == level


def test_a_line_that_starts_with_the_other_script_keeps_its_paragraphs_direction() -> None:
    lines = directed(("אב גד", "Lisbon אב"), "אב גד Lisbon אב")
    assert [base_level(line) for line in lines] == [1, 1]
    assert lines[0] == "אב גד"
