from __future__ import annotations

from hypothesis import example, given, settings
from hypothesis import strategies as st
from PIL import Image, ImageDraw

from kenburns.cards.runs import letters
from kenburns.cards.text import breaks_words, fits, ink, shorten, tidy, wrap
from kenburns.cards.typeface import face

FONT = face(20)
WORDS = st.lists(st.text(alphabet="abimWéÅ", min_size=1, max_size=12), min_size=1, max_size=20).map(" ".join)


def test_tidy_composes_accents_and_joins_runs_of_spaces() -> None:
    # Unicode Standard Annex 15, canonical composition: A + U+030A is U+00C5.
    assert tidy("  A\u030angstro\u0308m \t x  ") == ("Ångström x",)


def test_tidy_keeps_paragraphs_and_drops_empty_ones() -> None:
    assert tidy("one\n\n  \r\ntwo") == ("one", "two")


def test_tidy_drops_characters_without_shape() -> None:
    assert tidy("a\u200bb\u00adc\x07d\ufe0f\u202e") == ("abcd",)


def test_tidy_keeps_no_break_spaces() -> None:
    assert tidy("40\u00a0 cm") == ("40\u00a0 cm",)


def test_marks_stay_with_their_letter() -> None:
    assert letters("x\u0302\u0301y") == ("x\u0302\u0301", "y")


@given(WORDS, st.integers(200, 400))
@settings(max_examples=60)
def test_wrapping_keeps_every_word_whole_and_in_order(text: str, measure: int) -> None:
    lines = wrap(text, FONT, measure)
    if not breaks_words(text, FONT, measure):
        assert " ".join(lines) == text
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


@given(WORDS, st.integers(25, 400))
@settings(max_examples=60)
def test_no_line_is_wider_than_the_measure(text: str, measure: int) -> None:
    # 25 px hold any single letter of the alphabet at 20 px an em.
    assert all(fits(line, FONT, measure) for line in wrap(text, FONT, measure))


def test_a_long_word_breaks_after_a_hyphen_or_the_like() -> None:
    assert wrap("winterharbour_detail", FONT, ink("winterharbour_det", FONT).width) == ("winterharbour_", "detail")


def test_a_line_may_end_after_a_hyphen() -> None:
    # Unicode Standard Annex 14, rule LB21 and class HY: a break after, none before.
    assert wrap("winter-harbour", FONT, ink("winter-harb", FONT).width) == ("winter-", "harbour")


def test_a_long_word_without_such_marks_breaks_where_the_line_is_full() -> None:
    assert wrap("mmmmm", FONT, ink("mm", FONT).width) == ("mm", "mm", "m")


def test_a_short_last_word_gets_company() -> None:
    measure = ink("the boats at the", FONT).width + 3
    assert wrap("the boats at the x", FONT, measure) == ("the boats at", "the x")


def test_a_letter_wider_than_the_measure_stands_alone_and_complete() -> None:
    assert wrap("WW", FONT, 3) == ("W", "W")


def test_shortening_ends_with_an_ellipsis_and_fits() -> None:
    lines = ("one two three", "four five,", "six")
    measure = ink("one two three", FONT).width
    assert shorten(lines, 2, FONT, measure) == ("one two three", "four five…")


def test_shortening_drops_whole_words_to_make_room_for_the_ellipsis() -> None:
    measure = ink("one two three", FONT).width
    assert shorten(("one two three", "four"), 1, FONT, measure) == ("one two…",)


def test_shortening_leaves_alone_what_is_short_enough() -> None:
    assert shorten(("one", "two"), 2, FONT, 100) == ("one", "two")


@given(
    st.one_of(
        st.sampled_from(["Harbour", "Åj", "x\u0302\u0301\u0302", "j"]),
        st.characters(categories=["L", "N", "P", "S"], max_codepoint=0x4FF),
    ),
    st.integers(100, 900),
    st.integers(8, 200),
)
@example("Æ", 600, 112)  # its left foot stands 0.0004 em left of the origin
@settings(max_examples=60)
def test_measured_ink_holds_every_drawn_pixel(text: str, weight: int, size: int) -> None:
    middle = 3 * size
    font, picture = face(size, weight), Image.new("L", (8 * size, 6 * size))
    ImageDraw.Draw(picture).text((middle, middle), text, 255, font, anchor="ls")
    drawn, box = picture.getbbox(), ink(text, font)
    assert drawn is not None
    assert drawn[0] >= middle + min(box.left, 0)
    assert drawn[1] >= middle + box.top
    assert drawn[2] <= middle + box.right
    assert drawn[3] <= middle + box.bottom
