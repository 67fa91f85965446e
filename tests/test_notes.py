"""Files of notes -> remarks on slots: nothing written is lost, and every place is worked out by hand."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Literal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kenburns.errors import ListError
from kenburns.motion.geometry import Rect
from kenburns.motion.path import Shot, Stop
from kenburns.notes.changes import answers, changes_between
from kenburns.notes.done import done_text, marked, read_done
from kenburns.notes.laying import TABLE_COLUMNS, lay, table_rows
from kenburns.notes.reading import Notes, read_notes
from kenburns.plan.document import (
    Plan,
    PlannedScreen,
    PlannedShot,
    PlannedSlot,
    PlannedStill,
    PlannedText,
    PlannedWords,
)

PAL = Fraction(25)
HOUR = 3600 * 25

ReadNotes = Callable[..., Notes]


@pytest.fixture
def read(tmp_path: Path) -> ReadNotes:
    """Write notes (text, or bytes as they are) to a file and read it at 25."""

    def read_it(content: str | bytes, name: str = "notes.txt") -> Notes:
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return read_notes(path, PAL)

    return read_it


def hold(frames: int) -> PlannedShot:
    return PlannedShot.of(Shot("hold", frames, (Stop(Rect(0, 0, 640, 360), 0, frames - 1),)))


def push(frames: int) -> PlannedShot:
    stops = (Stop(Rect(0, 0, 640, 360), 0, 0), Stop(Rect(160, 90, 320, 180), frames - 1, frames - 1))
    return PlannedShot.of(Shot("push in", frames, stops))


def clip(slot: str, start: int, frames: int, file: str = "sea.png", *, handles: int = 0) -> PlannedSlot:
    """Return a clip that holds for its first half and pushes in after a cut; handles at both ends."""
    half = frames // 2 + handles
    still = PlannedStill(file=file, sha256="ab" * 32, width=640, height=360, matched_by="title", score=95.0)
    shots = (hold(half), push(frames + 2 * handles - half))
    return PlannedSlot(
        slot=slot, file=f"{slot}.mp4", kind="clip", start=start, frames=frames, wanted=slot, still=still, shots=shots
    )


def film(small_plan: Plan, *slots: PlannedSlot, handles: int = 0, **other: object) -> Plan:
    return small_plan.model_copy(update={"slots": slots, "handles": handles, **other})


def places(notes: Notes, plan: Plan, start: int | None = 0) -> list[tuple[tuple[str, int], ...]]:
    """Return the slots and shots of each note."""
    return [tuple((place.slot, place.shot) for place in note.places) for note in lay(notes, plan, start).notes]


def test_lines_without_a_time_go_on_with_the_remark_above_until_an_empty_line(read: ReadNotes) -> None:
    notes = read("0:12 the hand is late\nand too fast\n\nOverall: lovely.\n0:20\nIlse: slower here\n")
    assert [(note.text, note.line) for note in notes.notes] == [
        ("the hand is late and too fast", 1),
        ("Overall: lovely.", 4),
        ("Ilse: slower here", 5),
    ]
    assert [note.span is None for note in notes.notes] == [False, True, False]


def test_a_remark_whose_time_cannot_be_read_is_kept_and_told_of(read: ReadNotes) -> None:
    notes = read("0:12 fine\n3:72 the hand\n")
    assert [note.text for note in notes.notes] == ["fine", "3:72 the hand"]
    (problem,) = notes.problems
    assert problem.line == 2
    assert "seconds go to 59, not 72" in problem.message


def test_a_table_gives_time_end_author_slot_and_tick(read: ReadNotes) -> None:
    notes = read(
        "Timecode;TC Out;Comment;Reviewer;Resolved;Slot\n"
        "00:00:12:00;00:00:14:00;too fast;Ilse;yes;\n"
        ";;lovely;Tamsin;;02\n"
        "3:72;;bad;Tamsin;;\n",
        "notes.csv",
    )
    first, second, third = notes.notes
    assert first.span is not None
    assert first.span.last is not None
    assert (first.span.first.as_elapsed(PAL, False), first.span.last.as_elapsed(PAL, False)) == (300, 350)
    assert (first.text, first.author, first.done) == ("too fast", "Ilse", True)
    assert (second.span, second.slot, second.done) == (None, "02", False)
    assert (third.span, third.text) == (None, "3:72 bad")
    assert [problem.line for problem in notes.problems] == [4]


def test_a_tables_bare_numbers_count_what_the_header_says(read: ReadNotes) -> None:
    for header, cell, frame in (("time (s)", "12", 300), ("frame", "310", 310), ("time", "12.4", 310)):
        (note,) = read(f"{header},note\n{cell},slower\n", "notes.csv").notes
        assert note.span is not None
        assert note.span.first.as_elapsed(PAL, False) == frame
    assert read("time,note\n12,slower\n", "notes.csv").notes[0].span is None  # seconds or frames, nobody knows


def test_a_table_without_a_header_is_read_line_by_line(read: ReadNotes) -> None:
    for line in ('0:12,"slower, please"', '"0:12","slower, please"', "0:12;slower, please"):
        (note,) = read(line + "\n", "notes.csv").notes
        assert (note.text, note.span is None) == ("slower, please", False)


def test_a_transcript_gives_times_and_speakers(read: ReadNotes) -> None:
    notes = read(
        "WEBVTT\n\n00:00:12.000 --> 00:00:14.000\n<v Ilse>slower here\n\n00:20.000 --> 00:21.000\nlovely\n", "notes.vtt"
    )
    assert [(note.text, note.author) for note in notes.notes] == [("slower here", "Ilse"), ("lovely", "")]
    span = notes.notes[0].span
    assert span is not None
    assert span.last is not None
    assert (span.first.as_elapsed(PAL, False), span.last.as_elapsed(PAL, False)) == (300, 350)


def test_times_with_frames_on_both_sides_of_an_arrow_are_read_as_text(read: ReadNotes) -> None:
    (note,) = read("00:00:12:00 --> 00:00:14:00\nslower here\n").notes
    assert note.text == "slower here"


@pytest.mark.parametrize("content", [b"", b"  \n---\n", b"\0\1\2 0:12", b"\xff\xfe"])
def test_a_file_without_words_is_refused(read: ReadNotes, content: bytes) -> None:
    with pytest.raises(ListError, match=r"notes\.txt"):
        read(content)


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ListError, match="is no file; notes are a text"):
        read_notes(tmp_path / "none.txt", PAL)


def test_old_encodings_are_read(read: ReadNotes) -> None:
    assert read("0:12 die Hände".encode("cp1252")).notes[0].text == "die Hände"
    assert read("0:12 die Hände".encode("utf-16")).notes[0].text == "die Hände"


def test_a_note_keeps_its_id_in_another_order_and_spelling_of_its_time(read: ReadNotes) -> None:
    first = {note.text: note.id for note in read("0:12 slower\n0:20 lovely\n").notes}
    again = {note.text: note.id for note in read("at 00:00:20 lovely\n\n- 00:00:12:  slower\n").notes}
    assert first == again
    assert len(set(first.values())) == 2


def test_notes_alike_have_ids_apart(read: ReadNotes) -> None:
    ids = [note.id for note in read("0:12 slower\n0:12 slower\n").notes]
    assert ids[1] == f"{ids[0]}-2"


def test_a_note_lies_on_its_slot_and_shot(read: ReadNotes, small_plan: Plan) -> None:
    # slot 01 is frames 250 to 349, its cut after 50; slot 02 is frames 350 to 449
    plan = film(small_plan, clip("01", 250, 100), clip("02", 350, 100, "quay.png"))
    notes = read("0:10 first\n00:00:11:24 last of the hold\n0:12 pushes\n0:14 next\n0:11-0:15 both\n")
    laid = {note.note.text: note for note in lay(notes, plan, 0).notes}
    assert [(p.slot, p.shot, p.kind, p.frame) for p in laid["first"].places] == [("01", 1, "hold", 0)]
    assert [(p.shot, p.frame) for p in laid["last of the hold"].places] == [(1, 49)]
    assert [(p.shot, p.kind) for p in laid["pushes"].places] == [(2, "push in")]
    assert [(p.slot, p.still, p.frame) for p in laid["next"].places] == [("02", "quay.png", 0)]
    assert [p.slot for p in laid["both"].places] == ["01", "02"]
    assert laid["both"].timecode == "00:00:11:00 - 00:00:15:00"


def test_handles_do_not_move_a_note_to_another_shot(read: ReadNotes, small_plan: Plan) -> None:
    plan = film(small_plan, clip("01", 250, 100, handles=10), handles=10)
    assert places(read("00:00:11:24 a\n0:12 b\n"), plan) == [(("01", 1),), (("01", 2),)]


def test_a_time_from_the_films_first_timecode_on_is_timecode_and_an_earlier_one_a_players(
    read: ReadNotes, small_plan: Plan
) -> None:
    plan = film(small_plan, clip("01", 10 * HOUR + 4800, 100))
    notes = read("3:12 a\n10:03:12:08 b\n10:03:13 c\nframe 4810 d\n")
    assert [note.first for note in lay(notes, plan, 10 * HOUR).notes] == [
        10 * HOUR + frame for frame in (4800, 4808, 4810, 4825)
    ]


def test_a_film_is_taken_to_begin_on_the_hour_before_its_first_slot(read: ReadNotes, small_plan: Plan) -> None:
    laid = lay(read("3:12 a\n"), film(small_plan, clip("01", 10 * HOUR + 4800, 100)))
    assert (laid.start, laid.notes[0].places[0].slot) == (10 * HOUR, "01")
    assert "10:00:00:00" in laid.remarks[0]
    assert lay(read("3:12 a\n"), film(small_plan, clip("01", 4800, 100))).start == 0


def test_a_time_that_may_be_either_says_so(read: ReadNotes, small_plan: Plan) -> None:
    plan = film(small_plan, clip("01", HOUR + 7500, 100), clip("02", 2 * HOUR + 7500, 100))
    (note,) = lay(read("1:05:00 slower\n"), plan, HOUR).notes
    assert [place.slot for place in note.places] == ["01"]
    assert note.doubts == ("read as timecode; as time from the film's beginning it would be 02:05:00:00",)


def test_three_numbers_that_would_be_hours_after_the_film_are_minutes_seconds_and_frames(
    read: ReadNotes, small_plan: Plan
) -> None:
    (note,) = lay(read("03:12:08 slower\n"), film(small_plan, clip("01", 4800, 100)), 0).notes
    assert (note.first, note.places[0].slot) == (4808, "01")
    assert "as hours it is after the film" in note.doubts[0]


def test_a_note_just_beside_a_slot_is_taken_for_it_and_one_far_off_is_not(read: ReadNotes, small_plan: Plan) -> None:
    plan = film(small_plan, clip("01", 250, 100))  # to frame 349; 0:15 is frame 375, 26 frames after
    near, unsure, far = lay(read("0:15 a\n~0:18 b\n0:18 c\n"), plan, 0).notes
    assert (near.places[0].slot, near.places[0].beside) == ("01", 1.04)
    assert [place.slot for place in unsure.places] == ["01"]
    assert far.places == ()


def test_a_note_may_name_its_slot_instead_of_a_time(read: ReadNotes, small_plan: Plan) -> None:
    plan = film(small_plan, clip("01", 250, 100), clip("02", 350, 100))
    assert places(read("slot 02: slower\n"), plan) == [(("02", 1),)]


def test_done_marks_are_kept_beside_the_notes_and_read_back(read: ReadNotes, small_plan: Plan, tmp_path: Path) -> None:
    plan = film(small_plan, clip("01", 250, 100))
    notes = read("0:10 a\n[x] 0:11 b\n0:12 c\n")
    path = tmp_path / "notes-done.json"
    assert read_done(path) == frozenset()
    path.write_text(done_text(marked([], notes.notes[0].id)))
    laid = lay(notes, plan, 0, read_done(path))
    assert [note.done for note in laid.notes] == [True, True, False]
    assert [note.note.text for note in laid.open] == ["c"]
    assert laid.slots_with_open == ("01",)
    assert marked(read_done(path), notes.notes[0].id, is_done=False) == frozenset()
    path.write_text("[]")
    with pytest.raises(ListError, match=r"notes-done\.json"):
        read_done(path)


def test_the_table_has_a_row_for_each_note_and_slot(read: ReadNotes, small_plan: Plan) -> None:
    plan = film(small_plan, clip("01", 250, 100), small_plan.slots[1].model_copy(update={"start": 350}))
    laid = lay(read("0:12-0:14? both\n\n3:72 lost\n"), plan, 0)
    rows = [dict(zip(TABLE_COLUMNS, row, strict=True)) for row in table_rows(laid)]
    assert [(row["time"], row["slot"], row["still"], row["shot"], row["note"]) for row in rows] == [
        ("00:00:12:00 - 00:00:14:00?", "01", "sea.png", "push in 2 of 2", "both"),
        ("00:00:12:00 - 00:00:14:00?", "02", "card", "", "both"),
        ("", "", "", "", "3:72 lost"),
    ]
    assert {row["state"] for row in rows} == {"open"}


def test_json_names_every_note_once(read: ReadNotes, small_plan: Plan) -> None:
    laid = lay(read("0:12 a\n\nlovely\n\n3:72 b\n"), film(small_plan, clip("01", 250, 100)), 0)
    data = laid.as_json()
    assert [note["text"] for note in data["notes"]] == ["a", "lovely", "3:72 b"]
    assert (data["open"], data["slots"], len(data["problems"])) == (3, ["01"], 2)


def test_what_changed_is_listed_against_the_notes(read: ReadNotes, small_plan: Plan) -> None:
    then = film(small_plan, clip("01", 250, 100), clip("02", 350, 100), clip("03", 450, 100))
    later = clip("02", 375, 100, "quay.png").model_copy(update={"shots": (push(100),)})
    now = film(small_plan, clip("01", 250, 100), later, clip("04", 475, 50))
    laid = lay(read("0:10 a\n\n0:14 b\n\n0:18 c\n"), then, 0)
    assert [[change.words for change in answered.changes] for answered in answers(laid, then, now)] == [
        [],
        [("shows 'quay.png' instead of 'sea.png'", "push in instead of hold, then push in", "1.00 s later")],
        [("taken out of the film",)],
    ]
    assert [(change.then, change.now) for change in changes_between(then, now)] == [
        ("02", "02"),
        ("", "04"),
        ("03", ""),
    ]


def test_a_card_of_words_that_says_another_thing_has_changed(small_plan: Plan) -> None:
    def worded(text: str, card: Literal["quote", "chapter"] = "quote") -> Plan:
        screen = PlannedScreen(frames=4, texts=(PlannedText(text=text, role="body"),))
        slot = small_plan.slots[1].model_copy(
            update={"card": None, "words": PlannedWords(card=card, screens=(screen,))}
        )
        return small_plan.model_copy(update={"slots": (small_plan.slots[0], slot)})

    assert [change.words for change in changes_between(worded("Salt"), worded("Linen"))] == [("says other words",)]
    assert [change.words for change in changes_between(worded("Salt"), worded("Salt", "chapter"))] == [
        ("a chapter card instead of a quote card",)
    ]
    assert changes_between(small_plan, worded("Salt"))[0].words == ("a quote card instead of a card",)


def test_plans_alike_have_no_changes_and_a_new_frame_is_one_of_all(small_plan: Plan) -> None:
    assert changes_between(small_plan, small_plan) == ()
    (change,) = changes_between(small_plan, small_plan.model_copy(update={"handles": 12}))
    assert (change.then, change.now, change.words) == ("", "", ("handles 12 instead of 0",))


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=200) | st.text(max_size=200).map(str.encode))
def test_any_file_is_laid_or_refused(read: ReadNotes, small_plan: Plan, content: bytes) -> None:
    try:
        notes = read(content)
    except ListError:
        return
    laid = lay(notes, small_plan)
    assert len(laid.notes) == len(notes.notes)
    assert len({note.id for note in notes.notes}) == len(notes.notes)
    assert laid.as_json()["open"] <= len(laid.notes)


def test_a_remark_of_very_many_lines_is_one_remark(read: ReadNotes) -> None:
    (note,) = read("0:12 a\n" + "slower\n" * 50_000).notes
    assert note.text.count("slower") == 50_000


def test_more_remarks_than_anybody_works_through_are_refused(read: ReadNotes) -> None:
    with pytest.raises(ListError, match="has 5001 remarks; at most 5000 are read"):
        read("0:12 a\n" * 5001)


def test_a_file_larger_than_any_notes_is_refused(read: ReadNotes) -> None:
    with pytest.raises(ListError, match="larger than 1 MB"):
        read(b"0:12 slower\n" * 90_000)
