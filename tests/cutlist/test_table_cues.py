"""The cue column. Values worked by hand; 25 frames a second unless said, and the slot is frames 90000 to 90124."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kenburns.cutlist.cue_points import read_cues
from kenburns.cutlist.slots import CutList

Read = Callable[..., CutList]
SLOT = range(90_000, 90_125)  # 01:00:00:00 to 01:00:05:00
RATE = Fraction(25)


def cues(text: str, unit: str = "") -> tuple[int, ...]:
    found = read_cues(text, RATE, unit, SLOT, drop=False)
    assert not found.faults
    return found.frames


@pytest.mark.parametrize(
    ("text", "frames"),
    [
        ("", ()),
        ("01:00:02:00", (50,)),
        ("01:00:00:00", (0,)),
        ("01:00:04:24", (124,)),
        ("50", (50,)),
        ("50f", (50,)),
        ("2 s", (50,)),
        ("2.0", (50,)),
        ("2,5", (62,)),  # 62.5 frames: of two equally near the even one, as in the other columns
        ("0:02", (50,)),
        ("50 100", (50, 100)),
        ("50, 100", (50, 100)),
        ("50 , 100", (50, 100)),
        ("50/100", (50, 100)),
        ("50,75,100", (50, 75, 100)),
        ("2,0 4,0", (50, 100)),
        ("2,0, 4,0", (50, 100)),
        ("2 s 4 s", (50, 100)),
        ("2 s,4 s", (50, 100)),
        ("2 s / 4 s", (50, 100)),
        ("50f 4 s", (50, 100)),
        ("01:00:02:00 / 4 s", (50, 100)),
        ("01:00:02:00,01:00:04:00", (50, 100)),
        ("01:00:02:00 01:00:04:00", (50, 100)),
        ("4 s / 2 s / 50", (50, 100)),  # rising, each once
        ("2 s / ", (50,)),
        ("50\n100", (50, 100)),
        ("５０", (50,)),
    ],
)
def test_a_cell_gives_its_cues_in_frames_from_the_slots_start(text: str, frames: tuple[int, ...]) -> None:
    assert cues(text) == frames


def test_the_headers_unit_counts_for_bare_numbers_only() -> None:
    assert cues("2 / 3", "seconds") == (50, 75)
    assert cues("2f / 01:00:03:00", "seconds") == (2, 75)


@pytest.mark.parametrize(
    ("text", "kept", "words"),
    [
        ("125", (), "'125' is 125 frames after the slot's start, outside its 125 frames; a timecode"),
        ("00:59:59:00", (), "'00:59:59:00' is 25 frames before the slot's start"),
        ("01:00:05:00", (), "is 125 frames after the slot's start"),
        ("00:00:02:00 / 50", (50,), "'00:00:02:00' is 89950 frames before the slot's start"),
        ("soon", (), "'soon' cannot be used: not a time"),
        ("the hand, the eye, 50", (50,), "'the hand' cannot be used: .* the cue is left out, and 1 more like it"),
        ("01:00:02:30", (), "frames go to 24"),
        ("-5", (), "not a time from 0 up"),
    ],
)
def test_a_cue_that_cannot_be_used_costs_itself_only(text: str, kept: tuple[int, ...], words: str) -> None:
    found = read_cues(text, RATE, "", SLOT, drop=False)
    assert found.frames == kept
    (fault,) = found.faults
    assert not fault.costs
    with pytest.raises(ValueError, match=words):
        raise ValueError(fault.message)


@given(st.text(max_size=30) | st.text(alphabet="0123456789 .,:;/sf", max_size=30), st.integers(1, 300))
def test_any_cell_gives_rising_frames_of_the_slot(text: str, length: int) -> None:
    found = read_cues(text, RATE, "", range(90_000, 90_000 + length), drop=False)
    assert list(found.frames) == sorted(set(found.frames))
    assert all(0 <= frame < length for frame in found.frames)


@given(st.sets(st.integers(0, 124), max_size=6), st.sampled_from([" ", ", ", "/", " / "]))
def test_cues_written_down_are_read_back_in_every_separation(frames: set[int], separator: str) -> None:
    assert cues(separator.join(map(str, frames))) == tuple(sorted(frames))


# ---- in the table


def test_the_cue_column_reaches_the_slot(read: Read) -> None:
    found = read("slot,start,end,wanted,Cue Points\n1,01:00:00:00,01:00:05:00,a,01:00:02:00 / 4 s\n2,0,50,b,\n")
    assert [slot.cues for slot in found.slots] == [(50, 100), ()]
    assert found.columns["cue"] == "Cue Points"
    assert not found.problems


@pytest.mark.parametrize("header", ["cue (s)", "cues in seconds", "Cue sec"])
def test_a_unit_in_the_header_is_honoured(read: Read, header: str) -> None:
    assert read(f"slot,start,end,wanted,{header}\n1,0,125,a,2 3\n").slots[0].cues == (50, 75)


def test_a_bad_cue_is_told_with_its_line_and_the_row_is_kept(read: Read) -> None:
    found = read("slot,start,end,wanted,cue\n1,0,125,a,50\n2,125,250,b,5 s\n")
    assert [slot.cues for slot in found.slots] == [(50,), ()]
    (problem,) = found.problems
    assert (problem.line, problem.column) == (3, "cue")
    assert problem.message.startswith("'5 s' is 125 frames after the slot's start")
    assert problem.message.endswith("the cue is left out")


def test_a_row_that_is_left_out_is_told_of_once(read: Read) -> None:
    found = read("slot,start,end,wanted,cue\n1,0,125,a,50\n2,x,250,b,5 s\n")
    assert [problem.column for problem in found.problems] == ["start"]


def test_frames_beside_seconds_are_flagged(read: Read) -> None:
    found = read("slot,start,end,wanted,cue\n1,0,125,a,2\n2,125,250,b,2.5\n")
    (problem,) = found.problems
    assert (problem.line, problem.column) == (2, "cue")
    assert "read as frames, but line 3 has seconds here ('2.5')" in problem.message


def test_drop_frame_cues_are_counted_as_drop_frame(read: Read) -> None:
    # SMPTE ST 12-1: at 30000/1001 the labels 01:01:00;00 and ;01 are left out, so 01:00:59;29 is followed by ;02
    found = read(
        "slot,start,end,wanted,cue\n1,01:00:50;00,01:01:10;00,a,01:01:00;02\n",
        Fraction(30000, 1001),
    )
    assert found.slots[0].cues == (300,)
    assert not found.problems


def test_a_non_drop_cue_in_a_drop_frame_list_is_flagged(read: Read) -> None:
    found = read("slot,start,end,wanted,cue\n1,00:00:00;00,00:00:10;00,a,00:00:02:00\n", Fraction(30000, 1001))
    assert found.slots[0].cues == (60,)
    assert "read as non-drop" in found.problems[0].message
