from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kenburns.cutlist.ids import file_stem
from kenburns.cutlist.slots import CutList, Problem, Slot, overlaps
from kenburns.cutlist.table import read_table
from kenburns.errors import ListError

Read = Callable[..., CutList]
NTSC = Fraction(30000, 1001)


def spans(cut_list: CutList) -> list[tuple[str, int, int]]:
    return [(slot.id, slot.start, slot.length) for slot in cut_list.slots]


def test_every_column_reaches_its_field(read: Read) -> None:
    found = read(
        "slot,start,end,wanted,still,shot,caption,credit,note\n"
        "1,01:00:00:00,01:00:05:00,Blue Kitchen,a.jpg,push in,Caption,Credit,Note\n"
    )
    assert found.slots == (
        Slot("1", 90_000, 125, "Blue Kitchen", "a.jpg", "push in", "Caption", "Credit", "Note", line=2),
    )
    assert not found.problems
    assert not found.ignored
    assert found.columns["wanted"] == "wanted"
    assert found.drop is False


def test_the_end_is_the_first_frame_after_the_slot(read: Read) -> None:
    # as a record out in SMPTE ST 258: events that follow each other share the timecode
    found = read("slot,start,end,wanted\n1,00:00:00:00,00:00:01:00,a\n2,00:00:01:00,00:00:02:00,b\n")
    assert spans(found) == [("1", 0, 25), ("2", 25, 25)]
    assert not found.problems


def test_synonyms_are_reported_as_found_and_the_rest_as_ignored(read: Read) -> None:
    found = read("Nr.;TC In;TC Out;What to see?;Datei;Reel\n7;0;50;Küche;k.jpg;A001\n")
    assert found.columns == {
        "slot": "Nr.",
        "start": "TC In",
        "end": "TC Out",
        "wanted": "What to see?",
        "still": "Datei",
    }
    assert found.ignored == ("Reel",)


def test_units_in_the_header_are_honoured(read: Read) -> None:
    found = read("slot,start (s),length frames,wanted\n1,2,50,a\n2,10.5,50,b\n")
    assert spans(found) == [("1", 50, 50), ("2", 262, 50)]


def test_a_slot_without_a_start_follows_the_one_above(read: Read) -> None:
    assert spans(read("length,wanted\n50,a\n2 s,b\n25,c\n")) == [("01", 0, 50), ("02", 50, 50), ("03", 100, 25)]
    assert spans(read("start,length,wanted\n100,50,a\n,25,b\n")) == [("01", 100, 50), ("02", 150, 25)]


def test_after_a_row_that_is_left_out_a_missing_start_is_flagged(read: Read) -> None:
    found = read("slot,length,wanted\n1,50,a\n2,x,b\n3,25,c\n")
    assert spans(found) == [("1", 0, 50), ("3", 50, 25)]
    assert [problem.line for problem in found.problems] == [3, 4]
    assert "line 3 could not be used" in found.problems[1].message


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        ("1,x,50,,a", "In", r"'x' cannot be used: not a time .+ would work; the row is left out"),
        ("1,10,10,,a", "Out", r"'10' makes a slot of 0 frames; a slot has at least 1"),
        ("1,10,5,,a", "Out", r"makes a slot of -5 frames"),
        ("1,10,,0,a", "Dur", r"'0' makes a slot of 0 frames"),
        ("1,10,,,a", "Dur", r"a slot has an end or a length; .+ would work"),
        ("1,00:00:00:30,50,,a", "In", r"'00:00:00:30' cannot be used: .*frames go to 24"),
        ("a\x07b,0,50,,a", "#", r"'a b' cannot be used: .*cannot hold the unseen character U\+0007"),
        ("1,0,999999999,,a", "Out", r"later than 99 hours"),
    ],
)
def test_a_bad_row_names_its_line_cell_value_and_rule_and_the_rest_is_read(
    read: Read, row: str, column: str, words: str
) -> None:
    found = read(f"#,In,Out,Dur,What\n0,0,5,,first\n{row}\n9,500,505,,last\n")
    assert spans(found) == [("0", 0, 5), ("9", 500, 5)]
    assert [(problem.line, problem.column) for problem in found.problems] == [(3, column)]
    assert re.search(words, found.problems[0].message)


def test_two_bad_cells_in_a_row_are_both_named(read: Read) -> None:
    found = read("slot,start,end,wanted\n1,x,y,a\n2,0,5,b\n")
    assert [problem.column for problem in found.problems] == ["start", "end"]


@pytest.mark.parametrize(("first", "second"), [("a", "a"), ("a", "A"), ("é", "e\u0301"), ("1", "１")])
def test_a_second_row_with_the_same_id_is_left_out(read: Read, first: str, second: str) -> None:
    found = read(f"slot,start,end,wanted\n{first},0,5,x\n{second},5,10,y\n")
    assert spans(found) == [(first, 0, 5)]
    assert [(problem.line, problem.column) for problem in found.problems] == [(3, "slot")]
    assert "line 2" in found.problems[0].message


def test_rows_without_ids_are_numbered(read: Read) -> None:
    assert [slot.id for slot in read("start,end,wanted\n0,5,a\n5,10,b\n").slots] == ["01", "02"]
    found = read("slot,start,end,wanted\nA,0,5,a\n,5,10,b\n")
    assert [slot.id for slot in found.slots] == ["A", "02"]
    assert "numbered '02'" in found.problems[0].message


def test_overlapping_slots_are_kept_and_flagged(read: Read) -> None:
    found = read("slot,start,end,wanted\n1,0,100,a\n2,90,110,b\n3,95,99,c\n4,110,120,d\n")
    assert len(found.slots) == 4
    assert [problem.line for problem in found.problems] == [3, 4]
    assert "slot '2' overlaps slot '1' (line 2) by 10 frames" in found.problems[0].message


def test_an_end_and_a_length_that_disagree_are_flagged_and_the_end_is_used(read: Read) -> None:
    found = read("slot,start,end,length,wanted\n1,0,50,51,a\n2,50,75,25,b\n")
    assert spans(found) == [("1", 0, 50), ("2", 50, 25)]
    assert [(problem.line, problem.column) for problem in found.problems] == [(2, "length")]


def test_frames_beside_seconds_in_one_column_are_flagged(read: Read) -> None:
    found = read("length,wanted\n5.5,a\n5,b\n6.25,c\n")
    assert [(problem.line, problem.column) for problem in found.problems] == [(3, "length")]
    assert "'5' is read as frames" in found.problems[0].message


def test_a_slot_that_wants_nothing_is_kept_and_flagged(read: Read) -> None:
    found = read("slot,start,end,wanted\n1,0,50,\n")
    assert len(found.slots) == 1
    assert found.problems[0].column == "wanted"


def test_drop_frame_is_found_and_a_mixture_flagged(read: Read) -> None:
    # SMPTE ST 12-1: 01:00:00;00 is frame 107892 at 30000/1001
    found = read("slot,start,end,wanted\n1,01:00:00;00,01:00:05;00,a\n", NTSC)
    assert (found.drop, spans(found), found.problems) == (True, [("1", 107_892, 150)], ())
    mixed = read("slot,start,end,wanted\n1,01:00:00;00,01:00:05;00,a\n2,01:00:06:00,01:00:07;00,b\n", NTSC)
    assert any("non-drop" in problem.message for problem in mixed.problems)


def test_drop_frame_at_a_rate_without_it_is_a_bad_cell(read: Read) -> None:
    found = read("slot,start,end,wanted\n1,0,5,a\n2,00:00:05;00,00:00:06;00,b\n")
    assert [problem.column for problem in found.problems] == ["start", "end"]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("slot,wanted\n1,a\n", "no header row with start and end, or length"),
        ("slot,start,wanted\n1,0,a\n", "no header row with start and end, or length"),
        ("slot,start,end,wanted\n1,x,5,a\n", "line 2, column 'start': 'x'"),
    ],
)
def test_a_file_without_a_usable_row_is_a_list_error(read: Read, content: str, words: str) -> None:
    with pytest.raises(ListError, match=words):
        read(content)


def test_a_header_with_nothing_below_is_an_empty_cut_list(read: Read) -> None:
    found = read("slot,start,end,wanted\n")
    assert found.slots == ()
    assert found.problems == ()


def test_touching_slots_do_not_overlap_and_the_longest_reach_counts() -> None:
    slots = [
        Slot("a", 0, 100, "", line=2),
        Slot("b", 10, 5, "", line=3),
        Slot("c", 50, 5, "", line=4),
        Slot("d", 100, 1, ""),
    ]
    assert [problem.line for problem in overlaps(slots)] == [3, 4]


def test_a_problem_reads_as_a_sentence() -> None:
    assert str(Problem(7, "Dur", "'x' is no time")) == "line 7, column 'Dur': 'x' is no time"
    assert str(Problem(7, "", "never closed")) == "line 7: never closed"


CELL = st.text(max_size=8) | st.sampled_from(
    ["0", "5", "5.0", "1:05", "01:00:00:00", "01:00:00;00", "a/b", "..", "1", "-1"]
)


@settings(max_examples=200, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(rows=st.lists(st.lists(CELL, min_size=4, max_size=5), max_size=6), rate=st.sampled_from([Fraction(25), NTSC]))
def test_any_cells_give_safe_slots_or_a_list_error(tmp_path: Path, rows: list[list[str]], rate: Fraction) -> None:
    text = io.StringIO(newline="")
    csv.writer(text).writerows([["slot", "start", "end", "length", "wanted"], *rows])
    path = tmp_path / "list.csv"
    path.write_bytes(text.getvalue().encode("utf-8", "surrogatepass"))
    try:
        found = read_table(path, rate)
    except ListError:
        return
    ids = [slot.id.casefold() for slot in found.slots]
    assert len(ids) == len(set(ids))
    assert all(slot.length >= 1 and slot.start >= 0 and "/" not in file_stem(slot.id) for slot in found.slots)
    assert all(problem.line > 1 for problem in found.problems)
