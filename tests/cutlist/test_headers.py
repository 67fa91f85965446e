from __future__ import annotations

import pytest

from kenburns.cutlist.headers import Units, header_words, read_header

WORDS = {"s": "seconds", "sec": "seconds", "seconds": "seconds", "frames": "frames", "tc": "", "timecode": "", "hh": ""}
WORDS |= {"mm": "", "ss": "", "ff": ""}
UNITS = Units(frozenset({"start", "length"}), WORDS)
NAMES = {"slot": ("slot", "no"), "start": ("start", "in"), "length": ("length", "lange"), "wanted": ("wanted", "title")}


@pytest.mark.parametrize(
    ("header", "column", "unit"),
    [
        ("Start", "start", ""),
        (" START: ", "start", ""),
        ("TC In", "start", ""),
        ("tc_in", "start", ""),
        ("TCIn", "start", ""),
        ("tcin", "start", ""),
        ("StartTC", "start", ""),
        ("Start (HH:MM:SS:FF)", "start", ""),
        ("start frames", "start", "frames"),
        ("In [frames]", "start", "frames"),
        ("length (s)", "length", "seconds"),
        ("Length in seconds", "length", "seconds"),
        ("LÄNGE (sec.)", "length", "seconds"),
        ("La\u0308nge", "length", ""),  # the accent as a character of its own
        ("#", "slot", ""),
        ("N°", "slot", ""),
        ("№", "slot", ""),
        ("Title", "wanted", ""),
    ],
)
def test_a_header_is_matched_leniently(header: str, column: str, unit: str) -> None:
    found = read_header([header], NAMES, UNITS)
    assert found.places == {column: 0}
    assert found.columns == {column: header.strip()}
    assert found.units == {column: unit}


@pytest.mark.parametrize("header", ["starts", "title s", "restart", "s", "", "  ", "?", "in out"])
def test_what_is_no_header_of_ours_is_ignored(header: str) -> None:
    found = read_header([header], NAMES, UNITS)
    assert not found.places
    assert found.ignored == ((header,) if header.strip() else ())


def test_of_two_headers_the_better_name_wins_and_then_the_left_one() -> None:
    assert read_header(["Title", "Wanted"], NAMES, UNITS).places == {"wanted": 1}
    assert read_header(["In", "TC in"], NAMES, UNITS).places == {"start": 0}
    assert read_header(["Title", "Wanted"], NAMES, UNITS).ignored == ("Title",)


def test_words_split_camel_case_and_lose_accents() -> None:
    assert header_words("StartTC / Länge-n°") == ("start", "tc", "lange", "no")
