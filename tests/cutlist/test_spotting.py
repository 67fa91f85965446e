from __future__ import annotations

import itertools
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kenburns.cutlist.slots import Slot
from kenburns.cutlist.table import read_table
from kenburns.cutlist.table_text import cut_list_text
from kenburns.cutlist.talk.spoken import Spoken, Transcript
from kenburns.cutlist.talk.spotting import Spotted, spot
from kenburns.cutlist.talk.transcript import read_transcript
from kenburns.cutlist.works import read_works
from kenburns.motion.timebase import RATES, format_timecode, parse_timecode

SHARED = Path(__file__).resolve().parents[2] / "shared"
WORKS = read_works(SHARED / "works.csv").works
PAL = Fraction(25)
NTSC = Fraction(30000, 1001)

Cue = tuple[float, float, str]


def said(*cues: Cue, speakers: str = "") -> Transcript:
    """Return a transcript of (start, end, text); speakers has a letter a cue."""
    return Transcript(
        tuple(
            Spoken(Fraction(start), Fraction(end), speakers[place : place + 1], text, place + 1)
            for place, (start, end, text) in enumerate(cues)
        )
    )


def spotted(*cues: Cue, length: float = 6.0, speakers: str = "") -> Spotted:
    return spot(said(*cues, speakers=speakers), WORKS, PAL, length, 0)


def spans(found: Spotted) -> list[tuple[str, int, int]]:
    return [(slot.wanted, slot.start, slot.end) for slot in found.slots]


def test_a_slot_starts_at_the_mention_and_lasts_as_long_as_the_pacing_says() -> None:
    # "Kestrel Kitchen" begins at character 10 of 30 in 3 s: at 20 + 1 s, frame 525
    found = spotted((20, 23, "I painted Kestrel Kitchen 1987"))
    assert len("I painted Kestrel Kitchen 1987") == 30
    assert spans(found) == [("Kestrel Kitchen", 525, 525 + 150)]
    assert found.problems == ()
    assert found.unsure == ()


def test_a_slot_ends_before_the_next_question() -> None:
    found = spotted((0, 2, "Kestrel Kitchen, then."), (4, 6, "And why the lamp?"), (6, 9, "Because."))
    assert spans(found) == [("Kestrel Kitchen", 0, 100)]


def test_a_slot_ends_where_the_next_work_is_named() -> None:
    found = spotted((0, 4, "Kestrel Kitchen was first."), (4, 8, "Winter Allotment was next."))
    assert spans(found) == [("Kestrel Kitchen", 0, 100), ("Winter Allotment", 100, 250)]


def test_a_question_stays_free_from_its_first_moment_also_where_cues_overlap() -> None:
    # The last two cues are one sentence, and the question's own begins before the first word of it is spoken.
    cues = (0, 0, "Kestrel Kitchen was cold."), (2, 2.1, "“Shoal”"), (2, 2.1, "Do you know Nine Signals?")
    found = spot(said(*cues), WORKS, RATES[0], 2.0, 0)
    assert found.slots == ()
    assert "before the next question" in found.problems[0].message


def test_a_question_names_a_work_and_its_answer_shows_it() -> None:
    found = spotted((0, 4, "What is Kestrel Kitchen about?"), (5, 9, "It is about a window."))
    assert spans(found) == [("Kestrel Kitchen", 125, 275)]
    assert "in the question before" in found.slots[0].note


@pytest.mark.parametrize(
    "answer", ["Yes.", "I was nineteen, and my aunt had come over.", "Winter Allotment came later."]
)
def test_an_answer_that_does_not_go_on_about_the_work_shows_something_else_or_nothing(answer: str) -> None:
    found = spotted((0, 4, "Do you like Kestrel Kitchen?"), (5, 9, answer))
    assert "Kestrel Kitchen" not in [slot.wanted for slot in found.slots]
    assert [problem.line for problem in found.problems] == [1]
    assert "makes no slot" in found.problems[0].message


def test_no_slot_lies_on_what_the_interviewer_says_without_a_question_mark() -> None:
    found = spotted(
        (0, 4, "When did you begin?"),
        (4, 8, "Early, and badly, I think."),
        (8, 12, "Do tell us about Kestrel Kitchen."),
        (12, 20, "That was one warm room."),
        (16, 17, "Mhm."),
        (20, 24, "And then the winter came"),
        speakers="JOJOJJ",
    )
    assert spans(found) == [("Kestrel Kitchen", 300, 450)]


def test_a_work_named_again_while_it_is_on_or_soon_after_makes_no_second_slot() -> None:
    found = spotted(
        (0, 2, "Kestrel Kitchen was"),
        (3, 5, "Kestrel Kitchen"),
        (9, 11, "Kestrel Kitchen"),
        (60, 62, "Kestrel Kitchen"),
    )
    assert spans(found) == [("Kestrel Kitchen", 0, 150), ("Kestrel Kitchen", 1500, 1650)]


def test_works_named_in_one_breath_each_get_the_shortest_time_or_none_and_a_reason() -> None:
    found = spotted((0, 3, "Kestrel Kitchen, Winter Allotment, Marram Evening, Nine Signals, What the Sea Lends."))
    assert [start for _, start, _ in spans(found)] == [0, 50, 100]
    assert all(slot.length >= 50 for slot in found.slots)
    assert len(found.problems) == 2


def test_a_slot_too_short_before_a_question_is_left_out_with_a_reason() -> None:
    found = spotted((0, 2, "I made Kestrel Kitchen."), (2, 4, "Really, why?"), (4, 9, "No reason."))
    assert found.slots == ()
    assert "less than 2 seconds before the next question" in found.problems[0].message


def test_unsure_mentions_are_listed_and_make_no_slot() -> None:
    found = spotted((0, 4, "You know the white hull on black water."))
    assert found.slots == ()
    assert [mention.work.number for mention in found.unsure] == ["12"]


def test_a_slot_carries_what_the_works_list_knows_and_the_sentence_spoken() -> None:
    (slot,) = spotted((0, 4, "Then came Kestrel Kitchen. It was cold.")).slots
    assert (slot.id, slot.wanted, slot.still) == ("01", "Kestrel Kitchen", "Kestrel_Kitchen_final_v2.tif")
    assert slot.caption == "Kestrel Kitchen, 1987"
    assert slot.credit == "Oda Velkerman, Kestrel Kitchen, 1987. Photo: Tamsin Orrelby"
    assert slot.note == "'Kestrel Kitchen', written as a name: Then came Kestrel Kitchen."


def test_the_films_captions_give_the_two_slots_that_its_own_cut_list_has_there() -> None:
    found = spot(read_transcript(SHARED / "captions.vtt"), WORKS, PAL, 6.0, parse_timecode("10:00:00:00", PAL))
    assert [(slot.wanted, format_timecode(slot.start, PAL)) for slot in found.slots] == [
        ("High Water, Hesterholm", "10:00:09:12"),
        ("Kestrel Kitchen", "10:00:34:03"),
    ]
    assert found.problems == ()


@pytest.mark.parametrize(("rate", "drop"), [(rate, False) for rate in RATES] + [(NTSC, True), (RATES[6], True)])
@pytest.mark.parametrize("first", ["00:00:20.000", "10:00:20.000"])
def test_a_transcript_counts_from_zero_or_in_the_films_timecode(rate: Fraction, drop: bool, first: str) -> None:
    # either way the words come 20 seconds after the film's first frame
    hours = int(first[:2])
    start = parse_timecode("10:00:00;00" if drop else "10:00:00:00", rate)
    at = hours * 3600 + 20
    found = spot(said((at, at + 2, "Kestrel Kitchen")), WORKS, rate, 6.0, start, drop=drop)
    assert [slot.start - start for slot in found.slots] == [round(20 * rate)]


@pytest.mark.parametrize(("length", "start"), [(0.0, 0), (6.0, -1)])
def test_a_length_or_start_that_cannot_be_is_refused(length: float, start: int) -> None:
    with pytest.raises(ValueError, match="1 frame or more"):
        spot(said((0, 1, "x")), WORKS, PAL, length, start)


def test_a_mention_beyond_the_last_timecode_makes_no_slot() -> None:
    late = 99 * 3600
    found = spotted((late - 1, late, "Kestrel Kitchen"), (late + 5, late + 6, "Winter Allotment"))
    assert found.slots == ()
    assert len(found.problems) == 2


PIECES = st.sampled_from(
    [
        *(
            "Kestrel Kitchen was cold.",
            "It was Winter Allotment.",
            "Why?",
            "And what is Kestrel Kitchen?",
            "Nine Signals,",
        ),
        *("that is all", "It took years.", "the tall one", "“Shoal”", "Do you know Marram Evening and Nine Signals?"),
    ]
)


@settings(max_examples=80)
@given(
    st.lists(st.tuples(st.integers(0, 400), st.integers(0, 80), PIECES, st.sampled_from("JO ")), max_size=12),
    st.sampled_from(RATES),
    st.floats(0.5, 12),
)
def test_slots_never_overlap_never_lie_on_a_question_and_are_never_longer_than_the_pacing(
    cues: list[tuple[int, int, str, str]], rate: Fraction, length: float
) -> None:
    lines = sorted(
        (
            Spoken(Fraction(start, 10), Fraction(start + lasts, 10), speaker.strip(), text, place + 1)
            for place, (start, lasts, text, speaker) in enumerate(cues)
        ),
        key=lambda line: line.start,
    )
    slots = spot(Transcript(tuple(lines)), WORKS, rate, length, 0).slots
    assert all(first.end <= then.start for first, then in itertools.pairwise(slots))
    assert all(1 <= slot.length <= round(Fraction(length) * rate) for slot in slots)
    # A line that is one question lies where its own times say; no frame of it may be covered.
    asked = [line for line in lines if line.text.endswith("?") and line.end > line.start]
    assert not [
        (slot, line)
        for slot in slots
        for line in asked
        if slot.start < line.end * rate and line.start * rate < slot.end
    ]


def test_every_slot_text_reads_back_as_it_is(tmp_path: Path) -> None:
    found = spotted((20, 23, "I painted Kestrel Kitchen 1987"), (40, 44, "and Black Water, White Hull, “Shoal”."))
    assert len(found.slots) == 3
    assert read_back(tmp_path, found.slots, PAL, drop=False) == found.slots


def test_a_cut_list_without_slots_is_its_header(tmp_path: Path) -> None:
    assert cut_list_text((), PAL, drop=False) == "slot,start,end,wanted,still,shot,caption,credit,note\n"
    assert read_back(tmp_path, (), PAL, drop=False) == ()


def test_cues_have_a_column_where_a_slot_has_any(tmp_path: Path) -> None:
    slots = (Slot("1", 0, 50, "x", cues=(0, 25)), Slot("2", 60, 50, "y"))
    assert "00:00:00:00 / 00:00:01:00" in cut_list_text(slots, PAL, drop=False)
    assert read_back(tmp_path, slots, PAL, drop=False) == slots


def test_a_text_that_no_file_can_hold_is_refused() -> None:
    with pytest.raises(ValueError, match="NUL"):
        cut_list_text((Slot("1", 0, 50, "a\0b"),), PAL, drop=False)


def read_back(folder: Path, slots: tuple[Slot, ...], rate: Fraction, *, drop: bool) -> tuple[Slot, ...]:
    path = folder / "cutlist.csv"
    path.write_text(cut_list_text(slots, rate, drop), encoding="utf-8", newline="")
    found = read_table(path, rate)
    assert found.problems == ()
    assert not slots or found.drop is drop
    return tuple(replace(slot, line=0) for slot in found.slots)


cells = st.text(st.characters(codec="utf-8", exclude_characters="\0\ue000\ufeff"), max_size=20).map(str.strip)


@settings(max_examples=50, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(
    st.lists(st.tuples(st.integers(0, 1000), st.integers(1, 1000), cells, cells, cells), min_size=1, max_size=5),
    st.sampled_from([(rate, False) for rate in RATES] + [(NTSC, True)]),
)
def test_any_slots_read_back_the_same(
    tmp_path: Path, listed: list[tuple[int, int, str, str, str]], timing: tuple[Fraction, bool]
) -> None:
    rate, drop = timing
    start, slots = 100_000, []
    for place, (gap, length, wanted, caption, note) in enumerate(listed):
        slots.append(Slot(f"{place:02}", start + gap, length, wanted or "x", "", "hold", caption, "", note))
        start += gap + length
    assert read_back(tmp_path, tuple(slots), rate, drop=drop) == tuple(slots)
