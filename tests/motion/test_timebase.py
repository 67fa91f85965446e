"""Rates and timecode against SMPTE ST 12-1 and against OpenTimelineIO's opentime.

ST 12-1 at 30000/1001 drop-frame: labels 00 and 01 are left out at the start of each minute but 00, 10, 20, 30, 40
and 50, so ten minutes are 17982 frames and a day is 2589408 (rule and figures from memory of the standard).
"""

from __future__ import annotations

import re
from fractions import Fraction

import opentimelineio
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.errors import OptionError
from kenburns.motion.timebase import (
    RATES,
    format_timecode,
    frames_from_seconds,
    nominal,
    parse_rate,
    parse_timecode,
    rate_text,
    seconds_from_frames,
)

FILM, NTSC, NTSC_60 = Fraction(24000, 1001), Fraction(30000, 1001), Fraction(60000, 1001)
DROP_DAY = {NTSC: 2_589_408, NTSC_60: 5_178_816}

rates = st.sampled_from(RATES)
counts = [(rate, False) for rate in RATES] + [(rate, True) for rate in DROP_DAY]


def day(rate: Fraction, drop: bool) -> int:
    return DROP_DAY[rate] if drop else 86_400 * nominal(rate)


# ---- rates


@pytest.mark.parametrize(
    ("text", "rate"),
    [
        ("25", Fraction(25)),
        ("25/1", Fraction(25)),
        (" 25.0 ", Fraction(25)),
        ("23.976", FILM),
        ("23.98", FILM),
        ("24000/1001", FILM),
        ("29.97", NTSC),
        ("30000/1001", NTSC),
        ("59.94", NTSC_60),
        ("60", Fraction(60)),
    ],
)
def test_a_rate_is_read_as_people_write_it(text: str, rate: Fraction) -> None:
    assert parse_rate(text) == rate


@pytest.mark.parametrize("text", ["", "fast", "12", "29.9", "25/0", "-25", "nan", "1/25"])
def test_an_unknown_rate_is_refused_with_what_works(text: str) -> None:
    with pytest.raises(OptionError, match=re.escape(repr(text)) + ".*23.976, 24, 25, 29.97, 30, 50, 59.94 or 60"):
        parse_rate(text)


def test_a_rate_is_always_written_as_numerator_and_denominator() -> None:
    assert [rate_text(rate) for rate in RATES] == [
        "24000/1001",
        "24/1",
        "25/1",
        "30000/1001",
        "30/1",
        "50/1",
        "60000/1001",
        "60/1",
    ]


@given(rates)
def test_a_written_rate_reads_back(rate: Fraction) -> None:
    assert parse_rate(rate_text(rate)) == rate


# ---- seconds


@pytest.mark.parametrize(
    ("seconds", "rate", "frames"),
    [
        (Fraction(1), Fraction(25), 25),
        (Fraction(1, 2), Fraction(25), 12),  # 12.5: to the even one
        (Fraction(3, 2), Fraction(25), 38),  # 37.5: to the even one
        (Fraction(1001, 24000), FILM, 1),
        (Fraction(10), NTSC, 300),  # 299.7
    ],
)
def test_seconds_become_the_nearest_frame(seconds: Fraction, rate: Fraction, frames: int) -> None:
    assert frames_from_seconds(seconds, rate) == frames


@given(st.integers(0, 10**9), rates)
def test_frames_survive_the_way_through_seconds(frames: int, rate: Fraction) -> None:
    assert frames_from_seconds(seconds_from_frames(frames, rate), rate) == frames


# ---- timecode


@pytest.mark.parametrize(
    ("text", "rate", "frames"),
    [
        ("00:00:00:00", Fraction(25), 0),
        ("00:00:59;29", NTSC, 1799),
        ("00:01:00;02", NTSC, 1800),
        ("00:01:59;29", NTSC, 3597),
        ("00:02:00;02", NTSC, 3598),
        ("00:10:00;00", NTSC, 17_982),
        ("01:00:00;00", NTSC, 107_892),
        ("23:59:59;29", NTSC, DROP_DAY[NTSC] - 1),
        ("00:01:00;04", NTSC_60, 3600),
        ("00:10:00;00", NTSC_60, 35_964),
        ("23:59:59;59", NTSC_60, DROP_DAY[NTSC_60] - 1),
        ("01:00:00:00", NTSC, 108_000),  # non-drop counts every label
        ("01:00:00:00", FILM, 86_400),
        ("99:59:59:24", Fraction(25), 100 * 3600 * 25 - 1),
    ],
)
def test_timecode_counts_by_st_12_1(text: str, rate: Fraction, frames: int) -> None:
    assert parse_timecode(text, rate) == frames
    assert format_timecode(frames, rate, drop=";" in text) == text


@pytest.mark.parametrize("text", ["00:01:00;02", "00:01:00.02", "00;01;00;02"])
def test_a_semicolon_or_dot_before_the_frames_means_drop_frame(text: str) -> None:
    assert parse_timecode(text, NTSC) == 1800


def test_drop_frame_can_be_said_outright() -> None:
    assert parse_timecode("00:01:00:02", NTSC, drop=True) == 1800
    assert parse_timecode("00:01:00:02", NTSC, drop=False) == 1802


@pytest.mark.parametrize(
    ("text", "rate", "drop", "reason"),
    [
        ("00:01:00;00", NTSC, None, "leaves out; that minute begins at frame 02"),
        ("00:01:00;01", NTSC, None, "leaves out"),
        ("00:59:00;03", NTSC_60, None, "leaves out; that minute begins at frame 04"),
        ("00:00:00:25", Fraction(25), None, "frames go to 24 at 25/1, not 25"),
        ("00:00:00:24", FILM, None, "frames go to 23 at 24000/1001, not 24"),
        ("00:60:00:00", Fraction(25), None, "minutes go to 59"),
        ("00:00:60:00", Fraction(25), None, "seconds go to 59"),
        ("00:00:01;00", Fraction(25), None, "drop-frame exists at 30000/1001 and 60000/1001 only, not 25/1"),
        ("00:00:01:00", FILM, True, "drop-frame exists at"),
        ("00:00:01;00", NTSC, False, "marked drop-frame"),
        ("100:00:00:00", Fraction(25), None, "is not HH:MM:SS:FF"),
        ("00:00:01", Fraction(25), None, "is not HH:MM:SS:FF"),
        ("-0:00:01:00", Fraction(25), None, "is not HH:MM:SS:FF"),
        ("٠١:00:00:00", Fraction(25), None, "is not HH:MM:SS:FF"),
    ],
)
def test_what_is_no_timecode_is_refused_with_the_rule(
    text: str, rate: Fraction, drop: bool | None, reason: str
) -> None:
    with pytest.raises(ValueError, match=reason):
        parse_timecode(text, rate, drop=drop)


@pytest.mark.parametrize(
    ("frames", "rate", "drop"), [(-1, Fraction(25), False), (100 * 3600 * 25, Fraction(25), False), (0, FILM, True)]
)
def test_frames_without_a_timecode_are_refused(frames: int, rate: Fraction, drop: bool) -> None:
    with pytest.raises(ValueError, match="timecode"):
        format_timecode(frames, rate, drop=drop)


@pytest.mark.parametrize(("rate", "drop"), counts)
def test_a_whole_day_sampled_reads_back(rate: Fraction, drop: bool) -> None:
    samples = {*range(0, day(rate, drop), 9973), *range(20_000), day(rate, drop) - 1}
    assert all(parse_timecode(format_timecode(n, rate, drop=drop), rate) == n for n in samples)


@pytest.mark.parametrize(("rate", "drop"), counts)
def test_no_two_frames_of_the_first_minutes_share_a_label(rate: Fraction, drop: bool) -> None:
    labels = [format_timecode(n, rate, drop=drop) for n in range(80_000)]
    assert labels == sorted(set(labels))


@given(st.sampled_from(counts), st.data())
def test_any_frame_of_the_day_reads_back(count: tuple[Fraction, bool], data: st.DataObject) -> None:
    rate, drop = count
    frames = data.draw(st.integers(0, day(rate, drop) - 1))
    assert parse_timecode(format_timecode(frames, rate, drop=drop), rate) == frames


@settings(max_examples=300)
@given(st.sampled_from(counts), st.data())
def test_timecode_agrees_with_opentime(count: tuple[Fraction, bool], data: st.DataObject) -> None:
    """OpenTimelineIO 0.17 and later, opentime.to_timecode and from_timecode."""
    rate, drop = count
    # Without drop-frame too, opentime begins again at 00:00:00:00 after as many frames as a drop-frame day has.
    frames = data.draw(st.integers(0, DROP_DAY.get(rate, day(rate, drop)) - 1))
    time = opentimelineio.opentime.RationalTime(frames, float(rate))
    text = format_timecode(frames, rate, drop=drop)
    assert text == opentimelineio.opentime.to_timecode(time, float(rate), drop)
    assert opentimelineio.opentime.from_timecode(text, float(rate)).value == frames
