"""Times in notes as people write them. What each line means was worked out by hand: 3 min 12 s are 192 s.

Timecode follows SMPTE ST 12-1; every other notation is common practice in notes, mails and comments.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.motion.timebase import RATES, format_timecode
from kenburns.notes.stamps import read_stamps
from kenburns.notes.times import read_time

PAL, NTSC = Fraction(25), Fraction(30000, 1001)

# A line, the elapsed frames at 25 of its first and last time, whether the writer was unsure, and the words left.
READ: tuple[tuple[str, int, int | None, bool, str], ...] = (
    ("3:12", 4800, None, False, ""),
    ("03:12 the hand is late", 4800, None, False, "the hand is late"),
    ("00:03:12 the hand", 4800, None, False, "the hand"),
    ("1:03:12 the hand", 94800, None, False, "the hand"),
    ("75:30 the hand", 113250, None, False, "the hand"),
    (":45 fade", 1125, None, False, "fade"),
    ("0:45 fade", 1125, None, False, "fade"),
    ("00:03:12:08", 4808, None, False, ""),
    ("TC 00:03:12:08 the hand", 4808, None, False, "the hand"),
    ("3:12+08 the hand", 4808, None, False, "the hand"),
    ("00:03:12.480 the hand", 4812, None, False, "the hand"),
    ("00:03:12,480 the hand", 4812, None, False, "the hand"),
    ("3:12.5 the hand", 4812, None, False, "the hand"),
    ("3.12 the hand", 4800, None, False, "the hand"),
    ("00.03.12.08 the hand", 4808, None, False, "the hand"),
    ("3'12\" the hand", 4800, None, False, "the hand"),
    ("3′12″ the hand", 4800, None, False, "the hand"),
    ("3’12” the hand", 4800, None, False, "the hand"),
    ("90' the hand", 135000, None, False, "the hand"),
    ("1h03m12s: the hand", 94800, None, False, "the hand"),
    ("3m12 the hand", 4800, None, False, "the hand"),
    ("3 min 12 s the hand", 4800, None, False, "the hand"),
    ("3 min 12 the hand", 4800, None, False, "the hand"),
    ("3 minutes 12 seconds: the hand", 4800, None, False, "the hand"),
    ("192 s - the hand", 4800, None, False, "the hand"),
    ("frame 4800 the hand", 4800, None, False, "the hand"),
    ("4800f the hand", 4800, None, False, "the hand"),
    ("4800-4850f the hand", 4800, 4850, False, "the hand"),
    ("at 3:12 the hand", 4800, None, False, "the hand"),
    ("@3:12 the hand", 4800, None, False, "the hand"),
    ("03:12-03:20 the hand", 4800, 5000, False, "the hand"),
    ("3:12 – 3:20 the hand", 4800, 5000, False, "the hand"),
    ("3:12-20 the hand", 4800, 5000, False, "the hand"),
    ("3:12 to 3:20: the hand", 4800, 5000, False, "the hand"),
    ("between 3:12 and 3:20 the hand", 4800, 5000, False, "the hand"),
    ("3:12 → 3:20 the hand", 4800, 5000, False, "the hand"),
    ("00:03:12:08 --> 00:03:20:00 the hand", 4808, 5000, False, "the hand"),
    ("~3:12 the hand", 4800, None, True, "the hand"),
    ("ca. 3:12 the hand", 4800, None, True, "the hand"),
    ("around 3:12-3:20 the hand", 4800, 5000, True, "the hand"),
    ("3:12? the hand", 4800, None, True, "the hand"),
    ("3:12 (?) the hand", 4800, None, True, "the hand"),
    ("3:12-ish the hand", 4800, None, True, "the hand"),
    ("3:12ish the hand", 4800, None, True, "the hand"),
    ("[3:12] the hand", 4800, None, False, "the hand"),
    ("(00:03:12) the hand", 4800, None, False, "the hand"),
    ("- **3:12** the hand", 4800, None, False, "the hand"),
    ("4. 3:12 - the hand", 4800, None, False, "the hand"),
    ("3:12 - 5 frames late", 4800, None, False, "5 frames late"),
    ("３：１２ the hand", 4800, None, False, "the hand"),
    ("٣:١٢ the hand", 4800, None, False, "the hand"),
    ("3 : 12 the hand", 4800, None, False, "the hand"),
    ("The hand at 3:12 is late", 4800, None, False, "The hand at 3:12 is late"),
    ("The hand around 3:12 is late", 4800, None, True, "The hand around 3:12 is late"),
    ("5 s too long at 3:12", 4800, None, False, "5 s too long at 3:12"),
)

# A line, and a part of what it is reported for.
BAD: tuple[tuple[str, str], ...] = (
    ("3:72 the hand", "seconds go to 59, not 72"),
    ("1:75:30 the hand", "minutes go to 59 where hours are given, not 75"),
    ("00:03:12:30 the hand", "frames go to 24"),
    ("00:03:12;08 the hand", "drop-frame, which exists at 29.97 and 59.94"),
    ("00:03:12:08:01 the hand", "5 numbers"),
    ("3:1 the hand", "seconds have two digits"),
    ("3.5 the hand", "with a point it can be minutes or a part of a second"),
    ("3.72 the hand", "seconds go to 59, not 72"),
    ("3:20-3:12 the hand", "ends before it starts"),
    ("3:12pm the hand", "a time of day"),
    ("100:00:00:00 the hand", "later than 99 hours"),
    ("3'72\" the hand", "seconds go to 59"),
    ("12.5.2025 the screening", "3:12"),
    ("12s3m the hand", "in this order"),
)

# Lines that say no time at all.
NONE = ("Slower at the end", "4800 the hand", "3: 12 people", "in 3 weeks", "The 2 s hold is long", "")


@pytest.mark.parametrize(("line", "first", "last", "unsure", "words"), READ, ids=[row[0] for row in READ])
def test_a_time_is_read_as_it_was_meant(line: str, first: int, last: int | None, unsure: bool, words: str) -> None:
    stamped = read_stamps(line, PAL)
    assert stamped.fault == ""
    (span,) = stamped.spans
    assert span.first.as_elapsed(PAL, False) == first
    assert (span.last.as_elapsed(PAL, False) if span.last else None) == last
    assert (span.unsure, stamped.text) == (unsure, words)


@pytest.mark.parametrize(("line", "fault"), BAD, ids=[row[0] for row in BAD])
def test_a_bad_time_is_reported_with_its_rule_and_its_words_are_kept(line: str, fault: str) -> None:
    stamped = read_stamps(line, PAL)
    assert stamped.spans == ()
    assert fault in stamped.fault
    assert stamped.text == line


@pytest.mark.parametrize("line", NONE)
def test_a_line_without_a_time_gets_none(line: str) -> None:
    stamped = read_stamps(line, PAL)
    assert (stamped.spans, stamped.fault, stamped.text) == ((), "", line)


def test_drop_frame_is_counted_as_its_standard_says() -> None:
    # 3 minutes leave out 2 labels each: (3 x 60 + 12) x 30 + 8 - 3 x 2 (SMPTE ST 12-1)
    (span,) = read_stamps("00:03:12;08 the hand", NTSC).spans
    assert span.first.as_label(NTSC, drop=True) == 5762


def test_a_clock_and_a_timecode_differ_at_29_97() -> None:
    # 192 s of real time are 192 x 30000/1001 = 5754.2 frames; the label 00:03:12:00 counts 192 x 30.
    time = read_time("3:12", NTSC)
    assert (time.as_elapsed(NTSC, False), time.as_label(NTSC, False)) == (5754, 5760)


def test_a_drop_frame_minute_without_its_first_label_means_its_beginning() -> None:
    assert read_time("0:01:00", NTSC).as_label(NTSC, drop=True) == 1800  # 00:01:00;02, the frame after 00:00:59;29


def test_several_times_share_their_words() -> None:
    stamped = read_stamps("3:12, 4:05 and 5:10: too fast", PAL)
    assert [span.first.as_elapsed(PAL, False) for span in stamped.spans] == [4800, 6125, 7750]
    assert stamped.text == "too fast"


def test_three_numbers_may_be_minutes_seconds_and_frames() -> None:
    time = read_time("03:12:08", PAL)
    assert time.as_elapsed(PAL, False) == (3 * 3600 + 12 * 60 + 8) * 25
    assert time.other is not None
    assert time.other.as_elapsed(PAL, False) == 4808
    assert read_time("03:12:28", PAL).other is None  # no such frame


def test_a_point_is_read_and_doubted() -> None:
    assert read_stamps("3.12 the hand", PAL).spans[0].doubt == "'3.12' is read as 3 min 12 s"


@pytest.mark.parametrize("tick", ["- [x] ", "[X] ", "☑ ", "✓ ", "* [x] "])
def test_a_ticked_line_is_done(tick: str) -> None:
    stamped = read_stamps(f"{tick}3:12 the hand", PAL)
    assert (stamped.done, stamped.text, len(stamped.spans)) == (True, "the hand", 1)
    assert not read_stamps("- [ ] 3:12 the hand", PAL).done
    assert not read_stamps("☐ 3:12 the hand", PAL).done


@settings(max_examples=150)
@given(st.integers(0, 99 * 3600 * 24 - 1), st.sampled_from(RATES), st.sampled_from(["", "at ", "[", "~"]))
def test_every_timecode_is_read_back(frame: int, rate: Fraction, before: str) -> None:
    timecode = format_timecode(frame, rate)
    (span,) = read_stamps(f"{before}{timecode} the hand", rate).spans
    assert span.first.as_label(rate, drop=False) == frame


@settings(max_examples=300)
@given(st.text(alphabet=st.sampled_from("0123456789:;.,-–'\"? ~fhms[]()at x\t٣½→"), max_size=60) | st.text(max_size=80))
def test_any_line_is_read_or_reported_and_no_word_is_lost(line: str) -> None:
    stamped = read_stamps(line, PAL)
    assert not (stamped.spans and stamped.fault)
    for span in stamped.spans:
        assert span.first.as_label(PAL, drop=False) >= 0
    if not stamped.spans:
        assert stamped.text == stamped.text.strip()
        assert stamped.text in line


@pytest.mark.parametrize("piece", ["3:12-", "3:12, ", "1h", "((((", "9" * 50, "3'", "- [x] ", "12:", "~", "3 : 12 : "])
def test_a_long_line_ends(piece: str) -> None:
    assert isinstance(read_stamps(piece * 4000, PAL).text, str)
