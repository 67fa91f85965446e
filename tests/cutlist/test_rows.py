from __future__ import annotations

import codecs
import csv
import io
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kenburns.cutlist.headers import Units
from kenburns.cutlist.rows import Form, read_sheet
from kenburns.errors import ListError

FORM = Form(
    "list",
    "slot",
    {"slot": ("slot",), "wanted": ("wanted",), "note": ("note",)},
    lambda header: "slot" in header.places,
    "a slot",
    Units(frozenset(), {}),
)
QUIET = settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])


def write(tmp_path: Path, content: str | bytes) -> Path:
    path = tmp_path / "list.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_separator_and_line_end_are_found_by_content(tmp_path: Path, separator: str, end: str) -> None:
    rows = [
        ["slot", "wanted", "note"],
        ["1", "Küche; blau, hell", "a"],
        ["2", 'the "big" one', "two\nlines"],
        ["3", "x", ""],
    ]
    text = io.StringIO()
    csv.writer(text, delimiter=separator, lineterminator=end, quoting=csv.QUOTE_ALL).writerows(rows)
    sheet = read_sheet(write(tmp_path, text.getvalue()), FORM)
    assert [[row["slot"], row["wanted"], row["note"]] for row in sheet.rows] == rows[1:]
    assert [row.line for row in sheet.rows] == [2, 3, 5]  # row 2 has a line break of its own
    assert not sheet.problems


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "latin-1", "cp1252"])
def test_the_usual_encodings_are_read(tmp_path: Path, encoding: str) -> None:
    sheet = read_sheet(write(tmp_path, "slot,wanted\n1,Blaue Küche – was?\n".replace("–", "-").encode(encoding)), FORM)
    assert sheet.rows[0]["wanted"] == "Blaue Küche - was?"


def test_windows_1252_quotes_and_dashes_survive(tmp_path: Path) -> None:
    sheet = read_sheet(write(tmp_path, "slot,wanted\n1,“Küche” – x\n".encode("cp1252")), FORM)
    assert sheet.rows[0]["wanted"] == "“Küche” – x"


def test_a_byte_that_windows_1252_leaves_undefined_is_read_as_latin_1(tmp_path: Path) -> None:
    assert read_sheet(write(tmp_path, b"slot,wanted\n1,\xe9\x81\n"), FORM).rows[0]["wanted"] == "é\x81"


def test_rows_above_the_header_and_blank_rows_are_passed_over(tmp_path: Path) -> None:
    sheet = read_sheet(write(tmp_path, "The film,,\n\n,,\nslot,wanted\n\n1,a\n,\n  ,\n2,b\n"), FORM)
    assert [(row.line, row["slot"]) for row in sheet.rows] == [(6, "1"), (9, "2")]


def test_short_rows_read_as_empty_and_missing_columns_too(tmp_path: Path) -> None:
    row = read_sheet(write(tmp_path, "slot,wanted\n1\n"), FORM).rows[0]
    assert (row["wanted"], row["note"]) == ("", "")


def test_a_row_wider_than_the_header_is_left_out_and_named(tmp_path: Path) -> None:
    sheet = read_sheet(write(tmp_path, "slot,wanted\n1,a,b\n2,c,,\n"), FORM)
    assert [row["slot"] for row in sheet.rows] == ["2"]
    assert [problem.line for problem in sheet.problems] == [2]
    assert "3 cells where the header has 2" in sheet.problems[0].message


def test_a_quotation_left_open_is_named_with_its_line(tmp_path: Path) -> None:
    sheet = read_sheet(write(tmp_path, 'slot,wanted\n1,a\n2,"b\n3,c\n'), FORM)
    assert [row["slot"] for row in sheet.rows] == ["1"]
    assert [problem.line for problem in sheet.problems] == [3]
    assert "never closed" in sheet.problems[0].message


def test_a_cell_too_long_for_the_reader_is_a_problem_of_its_row(tmp_path: Path) -> None:
    sheet = read_sheet(write(tmp_path, f"slot,wanted\n1,a\n2,{'x' * 200_000}\n"), FORM)
    assert [row["slot"] for row in sheet.rows] == ["1"]
    assert [problem.line for problem in sheet.problems] == [3]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b" \n\n", "empty"),
        (b"PK\x03\x04\x14\x00\x06", "not text"),
        (codecs.BOM_UTF16_LE + b"x", "header"),
        (b"a,b\n1,2\n", "no header row with a slot; its first row is 'a,b'"),
        (b"slot\n" + b"1\n" * 10_000_000, "20 MB"),
        (b"slot\n" + b"\n" * 100_000, "more than 100000 rows"),
    ],
)
def test_a_file_that_is_no_list_is_refused_by_name(tmp_path: Path, content: bytes, words: str) -> None:
    path = write(tmp_path, content)
    with pytest.raises(ListError, match=words) as caught:
        read_sheet(path, FORM)
    assert str(path) in str(caught.value)


def test_a_missing_file_and_a_folder_are_refused_by_name(tmp_path: Path) -> None:
    for path in (tmp_path / "none.csv", tmp_path):
        with pytest.raises(ListError, match="no file") as caught:
            read_sheet(path, FORM)
        assert str(path) in str(caught.value)


def test_a_name_no_file_can_have_is_refused() -> None:
    with pytest.raises(ListError):
        read_sheet(Path("a\0b"), FORM)


@QUIET
@given(st.binary(max_size=200) | st.binary(max_size=200).map(b"slot,wanted\n".__add__))
def test_any_bytes_give_a_sheet_or_a_list_error(tmp_path: Path, content: bytes) -> None:
    path = write(tmp_path, content)
    with suppress(ListError):
        assert all(row.line > 1 for row in read_sheet(path, FORM).rows)


CELL = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=12).map(str.strip)


@QUIET
@given(st.lists(st.tuples(CELL.filter(bool), CELL, CELL), min_size=1, max_size=5), st.sampled_from(",;\t"))
def test_whatever_is_quoted_comes_back_whole(tmp_path: Path, rows: list[tuple[str, str, str]], separator: str) -> None:
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=separator, quoting=csv.QUOTE_ALL).writerows([("slot", "wanted", "note"), *rows])
    sheet = read_sheet(write(tmp_path, text.getvalue()), FORM)
    assert [(row["slot"], row["wanted"], row["note"]) for row in sheet.rows] == rows
    assert not sheet.problems
