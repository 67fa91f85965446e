from __future__ import annotations

from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from opentimelineio import opentime

from kenburns.cutlist.cells import read_moment

PAL, NTSC, NTSC_60 = Fraction(25), Fraction(30000, 1001), Fraction(60000, 1001)


@pytest.mark.parametrize(
    ("text", "frames"),
    [
        ("00:00:00:00", 0),
        ("01:02:03:04", (3600 + 2 * 60 + 3) * 25 + 4),
        ("1:2:3:4", (3600 + 2 * 60 + 3) * 25 + 4),
        (" 10:00:00:00 ", 900_000),
        ("125", 125),
        ("0", 0),
        ("125f", 125),
        ("125 frames", 125),
        ("1 Frame", 1),
        ("125 fr.", 125),
        ("5.0", 125),
        ("5s", 125),
        ("5 s", 125),
        ("5 sec", 125),
        ("5 sec.", 125),
        ("5 Seconds", 125),
        ("1,5", 38),  # 37.5 frames: of two equally near, the even one
        (".5", 12),
        ("5.", 125),
        ("1:05", 65 * 25),
        ("90:00", 5400 * 25),
        ("0:01:05.5", 1638),  # 1637.5 frames
        ("0:01:05,52", 1638),
        ("01:02:03.04", 93_076),  # a decimal, never a frame number: 3723.04 s
        ("\uff11\uff12\uff15", 125),  # full-width digits
    ],
)
def test_a_cell_is_read_as_frames_at_25(text: str, frames: int) -> None:
    assert read_moment(text, PAL).frames == frames


@pytest.mark.parametrize(
    "text",
    [
        *("", "x", "5x", "-5", "-00:00:01:00", "1.5f", "1:60", "0:60:00", "00:00:60:00", "00:00:00:25", "1:2:3:4:5"),
        *("½", "1e3", "nan", "inf", "5..0", "1.234,5", "9" * 5000, "00:00:00;01", "5 min", "٣", "0x10", "1 2"),
    ],
)
def test_what_is_no_time_is_refused_with_a_sentence(text: str) -> None:
    with pytest.raises(ValueError, match=r"\w+ .+ \w+"):
        read_moment(text, PAL)


def test_a_unit_in_the_header_holds_for_bare_numbers_only() -> None:
    assert read_moment("5", PAL, "seconds").frames == 125
    assert read_moment("5.0", PAL, "frames").frames == 5
    assert read_moment("5f", PAL, "seconds").frames == 5
    assert read_moment("5 s", PAL, "frames").frames == 125
    with pytest.raises(ValueError, match="whole"):
        read_moment("5.5", PAL, "frames")


def test_a_bare_number_says_which_unit_was_guessed() -> None:
    assert read_moment("5", PAL).guessed == "frames"
    assert read_moment("5.0", PAL).guessed == "seconds"
    assert read_moment("5", PAL, "seconds").guessed == read_moment("5 s", PAL).guessed == ""


def test_a_semicolon_before_the_frames_is_drop_frame() -> None:
    assert read_moment("00:10:00;00", NTSC).drop is True
    assert read_moment("00;10;00;00", NTSC).drop is True
    assert read_moment("00:10:00:00", NTSC).drop is False
    assert read_moment("600 s", NTSC).drop is None


def test_ten_minutes_of_drop_frame_are_17982_frames() -> None:
    # SMPTE ST 12-1: nine minutes of the ten leave out two labels, 18000 - 18
    assert read_moment("00:10:00;00", NTSC).frames == 17982


def test_a_label_that_drop_frame_leaves_out_is_refused() -> None:
    with pytest.raises(ValueError, match="leaves out"):
        read_moment("00:01:00;00", NTSC)


@given(
    st.sampled_from(
        [Fraction(24000, 1001), Fraction(24), PAL, NTSC, Fraction(30), Fraction(50), NTSC_60, Fraction(60)]
    ),
    st.integers(0, 23 * 3600 * 24),
    st.booleans(),
)
def test_timecode_counts_as_opentimelineio_counts_it(rate: Fraction, frames: int, drop: bool) -> None:
    drop = drop and rate in (NTSC, NTSC_60)
    text = opentime.to_timecode(opentime.RationalTime(frames, float(rate)), float(rate), drop)
    assert read_moment(text, rate).frames == frames


@given(st.text(max_size=40) | st.from_regex(r"[0-9:;., sfx-]{0,20}", fullmatch=True))
def test_any_text_is_a_time_or_a_value_error(text: str) -> None:
    with suppress(ValueError):
        assert read_moment(text, PAL).frames >= 0
