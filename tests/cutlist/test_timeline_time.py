from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from opentimelineio import opentime

from kenburns.cutlist.timelines.time import FLICKS, Range, exact_rate, flicks_of, frame_at, range_of
from kenburns.motion.timebase import RATES


def time(value: float, rate: float) -> dict[str, float]:
    return {"value": value, "rate": rate}


@pytest.mark.parametrize("rate", [*RATES, Fraction(120000, 1001), *map(Fraction, (100, 120, 44100, 48000, 96000))])
def test_a_frame_at_every_usual_rate_and_a_sample_of_sound_is_a_whole_number_of_flicks(rate: Fraction) -> None:
    # "Flicks" gives 24, 25, 30, 48, 50, 60, 90, 100, 120 and 1/1000 divisions, NTSC among them (from memory)
    assert (FLICKS / rate).denominator == 1


@pytest.mark.parametrize(
    ("number", "rate"),
    [
        (23.976, RATES[0]),
        (23.98, RATES[0]),
        (24000 / 1001, RATES[0]),
        (29.97, RATES[3]),
        (59.94, RATES[6]),
        (47.952, Fraction(48000, 1001)),
        (24, Fraction(24)),
        (24.0000001, Fraction(24)),
        (12.5, Fraction(25, 2)),
        (1, Fraction(1)),
        (48000, Fraction(48000)),
    ],
)
def test_a_rate_is_the_one_that_its_decimals_stand_for(number: float, rate: Fraction) -> None:
    assert exact_rate(number) == rate


@given(st.integers(0, 10_000_000), st.sampled_from(RATES))
def test_a_frame_is_the_same_frame_again_at_its_rate(frame: int, rate: Fraction) -> None:
    assert frame_at(flicks_of(time(float(frame), float(rate))), rate) == (frame, True)


@given(st.integers(0, 1_000_000), st.sampled_from(RATES), st.sampled_from(RATES))
def test_the_nearest_frame_at_another_rate_is_as_exact_fractions_and_opentimelineio_have_it(
    frame: int, theirs: Fraction, film: Fraction
) -> None:
    exact = frame / theirs * film
    nearest, is_exact = frame_at(flicks_of(time(frame, float(theirs))), film)
    assert nearest == round(exact)
    assert is_exact == (abs(exact - nearest) < Fraction(1, 1000))
    assert opentime.RationalTime(frame, float(theirs)).rescaled_to(float(film)).value == pytest.approx(float(exact))


def test_a_time_in_seconds_written_as_a_double_is_the_frame_that_was_meant() -> None:
    assert frame_at(flicks_of(time(5.24, 1)), Fraction(25)) == (131, True)


def test_a_range_has_a_start_and_an_end_and_is_cut_to_a_window() -> None:
    whole = range_of({"start_time": time(10, 25), "duration": time(5, 25)})
    frame = FLICKS // 25
    assert whole == Range(10 * frame, 15 * frame)
    assert whole.cut_to(Range(12 * frame, 99 * frame)).length == 3 * frame
    assert whole.cut_to(Range(15 * frame, 99 * frame)).length <= 0


@pytest.mark.parametrize(
    ("value", "rate", "words"),
    [
        (float("nan"), 25, "a number of frames and a rate, both finite, not nan at '25'"),
        (5, float("inf"), "not '5' at inf"),
        (5, 0, "a rate is above 0 frames a second, not 0"),
        (5, -25, "a rate is above 0 frames a second, not -25"),
        (10**400, 25, "both finite"),
        (True, 25, "both finite"),
        ("5", 25, "both finite, not '5'"),
        (None, 25, "both finite, not nothing"),
        (1e18, 25, "a time is at most 1,000,000 seconds, not 1e"),
    ],
)
def test_a_time_that_is_none_is_refused_with_what_it_is(value: float, rate: float, words: str) -> None:
    with pytest.raises(ValueError, match=r"^a (time|rate) is ") as refusal:
        flicks_of(time(value, rate))
    assert words in str(refusal.value)


def test_a_duration_below_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match=r"a duration is 0 frames or more, not -5 \(at 25 a second\)"):
        range_of({"start_time": time(0, 25), "duration": time(-5, 25)})
