"""A whole day of drop-frame timecode against opentimelineio's opentime (0.17 and later) and the timecode package (1.5).

Within a minute labels only count up, so a day is held by the frames on both sides of each minute's beginning; with
every frame of the first ten minutes, after which drop-frame repeats itself, and frames from all over the day.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from opentimelineio.opentime import RationalTime, from_timecode, to_timecode
from timecode.timecode import Timecode

from kenburns.motion.timebase import format_timecode, nominal, parse_timecode

NTSC, NTSC_60 = Fraction(30000, 1001), Fraction(60000, 1001)
DAYS = {NTSC: 2_589_408, NTSC_60: 5_178_816}  # 24 hours of 107892 frames, twice as many at twice the rate
SPELLED = {NTSC: "29.97", NTSC_60: "59.94"}


def around_minutes(rate: Fraction) -> list[int]:
    """Return the two frames on each side of every minute of the day, counted as the rule of SMPTE ST 12-1 says."""
    dropped = nominal(rate) // 15
    # Before a minute begins, all the minutes before it have lost their labels, the tenth ones none.
    firsts = [
        minute * 60 * nominal(rate) - dropped * (max(minute - 1, 0) - max(minute - 1, 0) // 10)
        for minute in range(24 * 60)
    ]
    return sorted({max(first + step, 0) for first in firsts for step in (-2, -1, 0, 1)} | {DAYS[rate] - 1})


def over_the_day(rate: Fraction) -> list[int]:
    return sorted({*around_minutes(rate), *range(0, DAYS[rate], 4999)})


@pytest.mark.parametrize("rate", DAYS)
def test_every_minute_of_a_day_has_opentimes_labels(rate: Fraction) -> None:
    for frame in over_the_day(rate):
        text = format_timecode(frame, rate, drop=True)
        assert text == to_timecode(RationalTime(frame, float(rate)), float(rate), True)
        assert parse_timecode(text, rate) == frame == from_timecode(text, float(rate)).value


@pytest.mark.parametrize("rate", DAYS)
def test_every_minute_of_a_day_has_the_labels_of_the_timecode_package(rate: Fraction) -> None:
    """The package counts frames from 1, for its 00:00:00;00 has the length of one frame."""
    for frame in over_the_day(rate):
        text = format_timecode(frame, rate, drop=True)
        assert text == str(Timecode(SPELLED[rate], frames=frame + 1))
        assert Timecode(SPELLED[rate], text).frame_number == frame


@pytest.mark.parametrize("rate", DAYS)
def test_every_frame_of_ten_minutes_has_opentimes_label(rate: Fraction) -> None:
    frames = range(DAYS[rate] // 144)
    ours = [format_timecode(frame, rate, drop=True) for frame in frames]
    assert ours == [to_timecode(RationalTime(frame, float(rate)), float(rate), True) for frame in frames]
    assert [parse_timecode(text, rate) for text in ours] == list(frames)


@pytest.mark.parametrize("rate", DAYS)
def test_labels_repeat_after_ten_minutes(rate: Fraction) -> None:
    ten = DAYS[rate] // 144
    for first in range(0, ten, 97):
        tail = format_timecode(first, rate, drop=True)[4:]
        assert {format_timecode(first + ten * n, rate, drop=True)[4:] for n in range(0, 144, 5)} == {tail}
