from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from PIL import Image

from kenburns.cards.fitting import LEAST_PIXELS, fit
from kenburns.cards.layout import Layout, title_safe
from kenburns.cards.look import FLOOR, LEAST_CONTRAST, Look, contrast, rgb
from kenburns.cards.placeholder import placeholder
from kenburns.cards.runs import MARKS
from kenburns.cards.wording import CardText, drawable
from kenburns.motion.geometry import Size

HD = Size(1920, 1080)
FRAMES = [HD, Size(2048, 1080), Size(1080, 1920), Size(1080, 1080), Size(320, 180), Size(321, 241), Size(160, 90)]
# Everyday letters, marks that stack, spaces and breaks, scripts the typeface lacks, and anything at all.
LETTERS = st.one_of(st.sampled_from("aeimW gjÅŻé'\"„”–/_\u0302\u0301\n\t 画ن"), st.characters())
LOOK = Look()


def texts(most: int) -> st.SearchStrategy[str]:
    return st.text(LETTERS, max_size=most)


CARDS = st.builds(
    CardText, texts(40), texts(120), st.just("01:02:10:00"), st.just("01:02:14:24"), texts(30), texts(600), texts(60)
)
LONG = CardText("s-" + "x" * 90, "Winter Harbour " * 12, "01:00:00:00", "01:00:04:24", "5.0 s", "never ending " * 200)


def pixels(card: CardText, frame: Size) -> NDArray[np.uint8]:
    return np.asarray(placeholder(card, frame, LOOK)[0])


def laid_out(card: CardText, frame: Size) -> tuple[Layout, CardText, tuple[str, ...]]:
    shown, _ = drawable(card, LOOK.typeface)
    layout, remarks = fit(shown, title_safe(frame), frame, LOOK)
    return layout, shown, remarks


def letters(text: str) -> str:
    return "".join(text.split()).translate(dict.fromkeys(map(ord, MARKS)))


@pytest.mark.parametrize(
    ("frame", "left", "top", "width", "height"),
    [
        # SMPTE ST 2046-1: safe title area 90 % of width and height; 1920x1080 gives 1728x972, from memory.
        (HD, 96, 54, 1728, 972),
        (Size(3840, 2160), 192, 108, 3456, 1944),
        # 5 % of 321 is 16.05 and of 181 is 9.05: rounded inwards.
        (Size(321, 181), 17, 10, 287, 161),
    ],
)
def test_the_safe_area_is_nine_tenths_of_the_frame(frame: Size, left: int, top: int, width: int, height: int) -> None:
    area = title_safe(frame)
    assert (area.left, area.top, area.width, area.height) == (left, top, width, height)


@given(CARDS, st.sampled_from(FRAMES))
@example(LONG, Size(320, 180))
@settings(max_examples=60)
def test_no_ink_leaves_the_title_safe_area(card: CardText, frame: Size) -> None:
    picture = pixels(card, frame)
    assert picture.shape == (frame.height, frame.width, 3)
    assert picture.dtype == np.uint8
    area = title_safe(frame)
    outside = np.ones(picture.shape[:2], bool)
    outside[area.top : area.top + area.height, area.left : area.left + area.width] = False
    assert (picture[outside] == rgb(LOOK.ground)).all()
    assert (picture[~outside] != rgb(LOOK.ground)).any()


@given(CARDS, st.sampled_from(FRAMES))
@example(LONG, Size(320, 180))
@settings(max_examples=60)
def test_slot_wanted_reason_times_and_length_always_stand_complete(card: CardText, frame: Size) -> None:
    layout, shown, _ = laid_out(card, frame)
    assert letters("".join(line.text for line in layout.head)) == letters(shown.slot + shown.reason)
    assert letters("".join(line.text for line in layout.label)).startswith(letters(shown.wanted))
    foot = f"{shown.start_timecode} – {shown.end_timecode} {shown.length}"
    assert letters("".join(line.text for line in layout.foot)) == letters(foot)


@given(CARDS, st.sampled_from(FRAMES))
@example(LONG, HD)
@settings(max_examples=60)
def test_a_note_is_shown_whole_or_its_loss_is_told(card: CardText, frame: Size) -> None:
    layout, shown, remarks = laid_out(card, frame)
    label = letters("".join(line.text for line in layout.label))
    assert label == letters(shown.wanted + shown.note) or "note" in remarks[0]


@given(CARDS, st.sampled_from(FRAMES))
@settings(max_examples=40)
def test_lines_never_touch_each_other(card: CardText, frame: Size) -> None:
    area = title_safe(frame)
    lines = laid_out(card, frame)[0].placed(area)
    rows = sorted({line.baseline for line in lines})
    for upper, lower in pairwise(rows):
        above = max(line.ink.bottom for line in lines if line.baseline == upper)
        below = min(line.ink.top for line in lines if line.baseline == lower)
        assert above <= below


@given(CARDS, st.sampled_from(FRAMES))
@settings(max_examples=40)
def test_text_is_never_below_the_floor_without_a_remark(card: CardText, frame: Size) -> None:
    layout, _, remarks = laid_out(card, frame)
    smallest = min((line.font.size for line in layout.lines), default=1000)
    assert smallest >= max(FLOOR * frame.height, LEAST_PIXELS) or "hard to read" in remarks[0]


@pytest.mark.parametrize("frame", [HD, Size(1080, 1920), Size(2048, 1080)])
def test_every_line_reaches_seven_to_one_in_the_rendered_pixels(card: CardText, frame: Size) -> None:
    picture = pixels(card, frame)
    for line in laid_out(card, frame)[0].placed(title_safe(frame)):
        box = picture[int(line.ink.top) : int(line.ink.bottom) + 1, int(line.ink.left) : int(line.ink.right)]
        brightest = box.reshape(-1, 3)[box.sum(axis=2).argmax()]
        red, green, blue = (int(channel) for channel in brightest)
        # WCAG 2.2, 1.4.6: at least 7:1.
        assert contrast(f"#{red:02x}{green:02x}{blue:02x}", LOOK.ground) >= LEAST_CONTRAST, line.text


def test_ordinary_cards_need_no_remark(card: CardText) -> None:
    assert all(placeholder(card, frame, LOOK)[1] == () for frame in FRAMES[:-1])


def test_a_card_without_a_note_or_a_name_is_still_a_card() -> None:
    picture, remarks = placeholder(CardText("7", "", "", "", "5.0 s"), HD, LOOK)
    assert picture.getbbox() is not None
    assert remarks == ()


def test_the_same_card_gives_the_same_pixels(card: CardText) -> None:
    assert np.array_equal(pixels(card, HD), pixels(card, HD))


def test_missing_characters_are_drawn_as_a_question_mark_and_named(card: CardText) -> None:
    picture, remarks = placeholder(replace(card, wanted="The 😀"), HD, LOOK)
    assert remarks == ("card '014-harbour': Noto Sans and its fallbacks lack U+1F600; '?' is drawn instead",)
    assert np.array_equal(np.asarray(picture), pixels(replace(card, wanted="The ?"), HD))


def test_a_note_too_long_ends_with_an_ellipsis_and_says_how_much_is_shown(card: CardText) -> None:
    long = replace(card, note="many words " * 900)
    layout, _, remarks = laid_out(long, HD)
    assert layout.label[-1].text.endswith("…")
    shown = len(layout.label) - 1
    assert remarks == (f"the note of 9899 characters is too long for the card, which shows its first {shown} lines",)
    assert shown >= 20


def test_a_long_slot_name_shrinks_before_it_breaks(card: CardText) -> None:
    layout, _, _ = laid_out(replace(card, slot="s03-orchard-at-night"), Size(1080, 1920))
    assert layout.head[0].text == "s03-orchard-at-night"


def test_the_picture_reads_back_from_a_file_unchanged(card: CardText, tmp_path: Path) -> None:
    path = tmp_path / "card.png"
    placeholder(card, HD, LOOK)[0].save(path)
    with Image.open(path) as back:
        assert np.array_equal(np.asarray(back), pixels(card, HD))


def test_a_frame_too_small_for_any_text_is_refused(card: CardText) -> None:
    with pytest.raises(ValueError, match="cannot hold the text of card '014-harbour'"):
        placeholder(card, Size(4, 4), LOOK)


def test_what_is_wanted_stands_at_the_right_where_it_reads_from_there(card: CardText) -> None:
    layout, _, _ = laid_out(replace(card, wanted="لوحة البحر في الشتاء"), HD)
    area = title_safe(HD)
    assert area.width - layout.label[0].ink.right <= 1
    assert layout.head[0].x <= 1
