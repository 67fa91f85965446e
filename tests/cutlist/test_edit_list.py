"""Edit decision lists as cut lists. The film, its people and its works are invented; frames are worked out by hand.

Statements and marks follow SMPTE ST 258 (from memory) and common practice.
"""

from __future__ import annotations

import codecs
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from kenburns.cutlist.events.edit_list import looks_like_edit_list, read_edit_list
from kenburns.cutlist.slots import CutList, Slot
from kenburns.errors import ListError

NTSC = Fraction(30000, 1001)
Read = Callable[..., CutList]

SALT_AND_LINEN = """\
TITLE: Salt and Linen
FCM: NON-DROP FRAME

001  AX       V     C        00:00:00:00 00:00:05:00 01:00:00:00 01:00:05:00
* FROM CLIP NAME:  winter_harbour.tif
* COMMENT: calm
002  STILLS   V     C        00:00:00:00 00:00:00:00 01:00:05:00 01:00:05:00
002  STILLS   V     D    025 00:00:00:00 00:00:04:00 01:00:05:00 01:00:09:00
* FROM CLIP NAME:  winter_harbour.tif
* TO CLIP NAME:  Blue Kitchen
* SOURCE FILE: kitchen_02.tif
003  A001     A     C        10:00:00:00 10:00:09:00 01:00:00:00 01:00:09:00
* FROM CLIP NAME:  Interview
004  BL       V     C        00:00:00:00 00:00:01:00 01:00:09:00 01:00:10:00
005  STILLS   V2    C        00:00:00:00 00:00:02:00 01:00:10:00 01:00:12:00
* LOC: 01:00:10:00 RED     Nets
"""


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Write a list (text, or bytes as they are) to a file and read it at 25."""

    def read_it(content: str | bytes, rate: Fraction = Fraction(25), **options: str) -> CutList:
        path = tmp_path / "film.edl"
        path.write_bytes(content.encode() if isinstance(content, str) else content)
        return read_edit_list(path, rate, **options)

    return read_it


def event(number: str, start: str, end: str, track: str = "V", way: str = "C", reel: str = "NETS") -> str:
    return f"{number}  {reel:8} {track:5} {way:8} 00:00:00:00 00:00:01:00 {start} {end}\n"


def spans(found: CutList) -> list[tuple[str, int, int]]:
    return [(slot.id, slot.start, slot.length) for slot in found.slots]


def problems(found: CutList) -> list[str]:
    return [str(problem) for problem in found.problems]


def skipped(found: CutList) -> list[str]:
    return [str(problem) for problem in found.skipped]


def test_a_list_becomes_slots_at_its_record_times(read: Read) -> None:
    found = read(SALT_AND_LINEN)
    assert found.slots == (
        Slot("001", 90_000, 150, "winter_harbour", still="winter_harbour.tif", note="calm", line=4),
        Slot("002", 90_125, 100, "Blue Kitchen", still="kitchen_02.tif", line=8),
        Slot("005_V2", 90_250, 50, "Nets", line=15),
    )
    assert found.drop is False
    assert not found.problems


def test_what_is_no_still_is_skipped_with_its_reason(read: Read) -> None:
    assert skipped(read(SALT_AND_LINEN)) == [
        "line 12: event 003 is on A, which is sound",
        "line 7: event 002 has no length here: it is the outgoing side of the dissolve on line 8",
        "line 14: event 004 is black",
    ]


# ---- tracks and reels


def test_a_named_track_holds_the_stills(read: Read) -> None:
    found = read(SALT_AND_LINEN, track="v2")
    assert spans(found) == [("005_V2", 90_250, 50)]
    assert "line 4: event 001 is on track 'V', not on V2" in skipped(found)
    assert len(found.skipped) == 5


def test_several_tracks_may_hold_the_stills(read: Read) -> None:
    assert len(read(SALT_AND_LINEN, track="V, V2").slots) == 3


def test_a_named_reel_holds_the_stills(read: Read) -> None:
    found = read(SALT_AND_LINEN, reel="stills")
    assert [slot.line for slot in found.slots] == [8, 15]
    assert "line 4: event 001 is of reel 'AX'" in skipped(found)


@pytest.mark.parametrize(
    ("options", "what"),
    [
        ({"track": "V3"}, r"has no event on track 'V3'; it has 'V', 'A', 'V2'"),
        ({"reel": "B002"}, r"has no event of reel 'B002'; it has 'AX', 'STILLS', 'A001', 'BL'"),
    ],
)
def test_a_track_or_reel_that_is_not_there_is_refused_with_those_that_are(
    read: Read, options: dict[str, str], what: str
) -> None:
    with pytest.raises(ListError, match=what):
        read(SALT_AND_LINEN, **options)


@pytest.mark.parametrize("track", ["V", "V1", "B", "AA/V", "A2/V", "VA1A2", "v"])
def test_an_event_of_picture_and_sound_shows_a_picture(read: Read, track: str) -> None:
    assert spans(read(event("001", "00:00:00:00", "00:00:01:00", track))) == [("001", 0, 25)]


def test_an_unknown_track_is_told_and_taken_when_it_is_named(read: Read) -> None:
    text = event("001", "00:00:00:00", "00:00:01:00") + event("002", "00:00:01:00", "00:00:02:00", "STILLS")
    found = read(text)
    assert spans(found) == [("001", 0, 25)]
    assert "its track 'STILLS' is neither picture" in problems(found)[0]
    assert spans(read(text, track="stills")) == [("002_STILLS", 25, 25)]


def test_slots_that_overlap_on_two_tracks_are_kept_and_told(read: Read) -> None:
    found = read(event("001", "00:00:00:00", "00:00:02:00") + event("001", "00:00:01:00", "00:00:03:00", "V2"))
    assert spans(found) == [("001", 0, 50), ("001_V2", 25, 50)]
    assert problems(found) == ["line 2: slot '001_V2' overlaps slot '001' (line 1) by 25 frames; both are kept"]


# ---- frame code


@pytest.mark.parametrize("mark", ["01:00:00;02", "01;00;00;02", "01:00:00.02", "01:00:00,02"])
def test_each_mark_of_drop_frame_is_understood(read: Read, mark: str) -> None:
    found = read(event("1", mark.replace("02", "00"), mark), NTSC)
    assert spans(found) == [("1", 107_892, 2)]  # SMPTE ST 12-1: an hour of drop-frame is 107892 frames
    assert found.drop is True


def test_a_header_makes_the_times_below_it_drop_frame_and_a_change_is_told(read: Read) -> None:
    found = read(
        "FCM: NON-DROP FRAME\n"
        + event("1", "01:00:00:00", "01:00:01:00")
        + "FCM: DROP FRAME\n"
        + event("2", "02:00:00:00", "02:00:01:00"),
        NTSC,
    )
    assert spans(found) == [("1", 108_000, 30), ("2", 215_784, 30)]
    assert problems(found) == ["line 4: record times are drop-frame from event 2 on, non-drop before it"]


def test_a_header_of_non_drop_leaves_points_to_be_plain_separators(read: Read) -> None:
    found = read("FCM: NON-DROP FRAME\n" + event("1", "01:00:00.00", "01:00:01.00"), NTSC)
    assert (spans(found), found.drop) == ([("1", 108_000, 30)], False)


@pytest.mark.parametrize("separator", [".", ","])
def test_points_and_commas_part_fields_where_there_is_no_drop_frame(read: Read, separator: str) -> None:
    found = read(event("1", f"01:00:00{separator}00", f"01:00:01{separator}00"))
    assert (spans(found), found.drop) == ([("1", 90_000, 25)], False)


def test_a_drop_frame_header_at_another_rate_is_told_once(read: Read) -> None:
    found = read(
        "FCM: DROP FRAME\n" + event("1", "00:00:00:00", "00:00:01:00") + event("2", "00:00:01:00", "00:00:02:00")
    )
    assert len(found.slots) == 2
    (told,) = problems(found)
    assert told.startswith(
        "line 1: the header says drop-frame, which exists at 30000/1001 and 60000/1001 only, not 25/1"
    )


@pytest.mark.parametrize(
    ("start", "end", "rate", "why"),
    [
        ("00:00:00:25", "00:00:01:00", Fraction(25), "frames go to 24 at 25/1, not 25"),
        ("00:01:00;00", "00:01:01;00", NTSC, "a label that drop-frame leaves out"),
        ("00:00:00;00", "00:00:01;00", Fraction(25), "drop-frame exists at 30000/1001"),
        ("00:00:02:00", "00:00:01:00", Fraction(25), "record out 00:00:01:00 is before record in 00:00:02:00"),
        ("00:00:00:00", "99:30:00:00", Fraction(25), "later than 99 hours"),
        ("00:61:00:00", "00:62:00:00", Fraction(25), "minutes go to 59"),
    ],
)
def test_an_impossible_time_is_told_and_the_rest_is_read(
    read: Read, start: str, end: str, rate: Fraction, why: str
) -> None:
    found = read(event("1", start, end) + event("2", "00:00:00:00", "00:00:01:00"), rate)
    assert [slot.id for slot in found.slots] == ["2"]
    assert [problem.line for problem in found.problems][:1] == [1]
    assert why in problems(found)[0]
    assert problems(found)[0].endswith("it is left out")


def test_source_times_do_not_matter(read: Read) -> None:
    # of a camera at another rate, or slowed down
    text = "1 NETS V C 00:00:00:29 10:00:00:59 00:00:00:00 00:00:01:00\nM2   NETS     012.5       00:00:00:29\n"
    found = read(text)
    assert (spans(found), found.problems) == ([("1", 0, 25)], ())


# ---- transitions


@pytest.mark.parametrize("way", ["D    010", "W001 010"])
def test_a_clip_is_seen_until_the_next_has_come_in_over_it(read: Read, way: str) -> None:
    found = read(
        event("1", "00:00:00:00", "00:00:02:00")
        + event("2", "00:00:02:00", "00:00:02:00")
        + event("2", "00:00:02:00", "00:00:04:00", way=way)
        + event("3", "00:00:04:00", "00:00:05:00")
    )
    assert spans(found) == [("1", 0, 60), ("2", 50, 50), ("3", 100, 25)]
    assert not found.problems  # that they overlap is meant


def test_an_outgoing_side_with_a_length_is_a_slot_and_lasts_longer(read: Read) -> None:
    found = read(
        event("1", "00:00:00:00", "00:00:02:00", reel="HARBOUR")
        + event("1", "00:00:02:00", "00:00:04:00", way="D    025", reel="NETS")
        + "* FROM CLIP NAME: Winter Harbour\n* TO CLIP NAME: Nets\n"
    )
    assert spans(found) == [("1", 0, 75), ("1_2", 50, 50)]
    assert [slot.wanted for slot in found.slots] == ["Winter Harbour", "Nets"]


def test_fades_from_and_to_black_lengthen_stills_only(read: Read) -> None:
    found = read(
        event("1", "00:00:00:00", "00:00:00:00", reel="BL")
        + event("1", "00:00:00:00", "00:00:02:00", way="D    025", reel="NETS")
        + event("2", "00:00:02:00", "00:00:02:00", reel="NETS")
        + event("2", "00:00:02:00", "00:00:03:00", way="D    020", reel="BL")
    )
    assert spans(found) == [("1", 0, 70)]
    assert len(found.skipped) == 3


def test_a_transition_longer_than_its_event_ends_with_it_and_is_told(read: Read) -> None:
    found = read(
        event("1", "00:00:00:00", "00:00:02:00", reel="A")
        + event("2", "00:00:02:00", "00:00:03:00", way="D    099", reel="B")
    )
    assert spans(found) == [("1", 0, 75), ("2", 50, 25)]
    assert "its dissolve of 99 frames is longer than the event of 25" in problems(found)[0]


def test_a_transition_lengthens_the_clip_on_its_own_track(read: Read) -> None:
    found = read(
        event("1", "00:00:00:00", "00:00:02:00", reel="A")
        + event("2", "00:00:00:00", "00:00:02:00", "V2", reel="B")
        + event("3", "00:00:02:00", "00:00:04:00", "V2", way="D    005", reel="C")
    )
    assert [slot.length for slot in found.slots] == [50, 55, 50]


def test_a_key_shows_both_its_pictures(read: Read) -> None:
    found = read(
        event("1", "00:00:00:00", "00:00:02:00", way="K B", reel="A")
        + event("1", "00:00:00:00", "00:00:02:00", way="K    012", reel="B")
        + "* FROM CLIP NAME: Blue Kitchen\n* KEY CLIP NAME: Title\n"
    )
    assert [(slot.id, slot.length, slot.wanted) for slot in found.slots] == [
        ("1", 50, "Blue Kitchen"),
        ("1_2", 50, "Title"),
    ]


def test_a_transition_that_names_only_the_clip_before_names_no_other(read: Read) -> None:
    found = read(
        event("1", "00:00:00:00", "00:00:02:00")
        + "* FROM CLIP NAME: Nets\n"
        + event("2", "00:00:02:00", "00:00:03:00", way="D    005", reel="KITCHEN")
        + "* FROM CLIP NAME: Nets\n"
    )
    assert [slot.wanted for slot in found.slots] == ["Nets", "KITCHEN"]


# ---- names


@pytest.mark.parametrize(
    ("lines", "wanted", "still", "note"),
    [
        ("* FROM CLIP NAME: Winter Harbour\n", "Winter Harbour", "", ""),
        ("*FROM CLIP NAME:nets.TIF\n", "nets", "nets.TIF", ""),
        ("* FROM CLIP NAME: C:\\stills\\nets.tif\n", "nets", "C:\\stills\\nets.tif", ""),
        ("* FROM CLIP NAME: Nets / Quay\n", "Nets / Quay", "", ""),
        ("* FROM CLIP NAME: no. 7\n", "no. 7", "", ""),
        ("* FROM CLIP NAME: nets.mov\n", "nets", "", ""),
        ("* FROM CLIP NAME: Nets\n* SOURCE FILE: n_02.jpg\n", "Nets", "n_02.jpg", ""),
        ("* LOC: 00:00:00:00 RED Nets\n", "Nets", "", ""),
        ("* LOC: 00:00:00:00 RED\n* LOC: 00:00:00:01 RED Nets\n* LOC: 00:00:00:02 RED Quay\n", "Nets", "", "Quay"),
        ("* FROM CLIP NAME: Nets\n* LOC: 00:00:00:00 RED slow\n* calm\n* Nets\n", "Nets", "", "slow; calm"),
        (" |C:Blue |M:Nets |D:1\n", "Nets", "", ""),
        ("* SOURCE FILE: nets.tif\n", "nets", "nets.tif", ""),
        ("* FROM CLIP NAME: Küche\n", "Küche", "", ""),
        ("\n\n* FROM CLIP NAME: Nets\n\n", "Nets", "", ""),
    ],
)
def test_the_lines_below_an_event_say_what_is_wanted(
    read: Read, lines: str, wanted: str, still: str, note: str
) -> None:
    (slot,) = read(event("1", "00:00:00:00", "00:00:01:00") + lines).slots
    assert (slot.wanted, slot.still, slot.note) == (wanted, still, note)


@pytest.mark.parametrize(
    ("reel", "wanted"), [("winter_harbour_1987.tif", "winter_harbour_1987"), ("AX", ""), ("007", "")]
)
def test_without_a_name_a_telling_reel_is_wanted(read: Read, reel: str, wanted: str) -> None:
    found = read(event("1", "00:00:00:00", "00:00:01:00", reel=reel))
    assert found.slots[0].wanted == wanted
    assert bool(found.problems) is not bool(wanted)


def test_picture_and_sound_of_one_event_share_the_lines_below(read: Read) -> None:
    found = read(
        event("1", "00:00:00:00", "00:00:01:00")
        + event("1", "00:00:00:00", "00:00:01:00", "A")
        + event("1", "00:00:00:00", "00:00:01:00", "A2")
        + "* FROM CLIP NAME: Nets\n"
    )
    assert [slot.wanted for slot in found.slots] == ["Nets"]
    assert len(found.skipped) == 2


def test_ids_are_unique_whatever_the_numbers(read: Read) -> None:
    times = "00:00:00:00", "00:00:01:00"
    found = read(event("001", *times) * 3 + event("001", *times, "V2") * 2 + event("1a", *times) + event("1A", *times))
    assert [slot.id for slot in found.slots] == ["001", "001_2", "001_3", "001_V2", "001_V2_2", "1a", "1A_2"]


# ---- the file


@pytest.mark.parametrize(
    "data",
    [
        SALT_AND_LINEN.encode(),
        SALT_AND_LINEN.replace("\n", "\r\n").encode(),
        SALT_AND_LINEN.replace("\n", "\r").encode(),
        codecs.BOM_UTF8 + SALT_AND_LINEN.encode(),
        SALT_AND_LINEN.encode("utf-16"),
        SALT_AND_LINEN.encode("utf-16-le"),
        SALT_AND_LINEN.encode("utf-16-be"),
        SALT_AND_LINEN.rstrip("\n").encode() + b"\x1a",
        SALT_AND_LINEN.encode() + b"\0" * 512,
        SALT_AND_LINEN.replace("  ", "\t").encode(),
    ],
    ids=["lf", "crlf", "cr", "bom", "utf-16", "utf-16-le", "utf-16-be", "ctrl-z", "zeros", "tabs"],
)
def test_encodings_and_line_ends_do_not_matter(read: Read, data: bytes) -> None:
    assert read(data) == read(SALT_AND_LINEN)
    assert looks_like_edit_list(data[:4096])


def test_latin_1_is_read(read: Read) -> None:
    (slot,) = read((event("1", "00:00:00:00", "00:00:01:00") + "* FROM CLIP NAME: Küche\n").encode("latin-1")).slots
    assert slot.wanted == "Küche"


def test_a_line_that_cannot_be_understood_is_told_and_the_rest_is_read(read: Read) -> None:
    found = read(
        "made on a Tuesday\n"
        + event("1", "00:00:00:00", "00:00:01:00", reel="NETS")
        + "2  QUAY V C 00:00:00:00 00:00:01:00 00:00:01:00\n* FROM CLIP NAME: Quay\n"
        + event("3", "00:00:02:00", "00:00:03:00", reel="KITCHEN")
    )
    assert [(slot.id, slot.wanted) for slot in found.slots] == [("1", "NETS"), ("3", "KITCHEN")]
    assert [problem.line for problem in found.problems] == [1, 3]
    assert "'made on a Tuesday' is neither an event nor a statement" in problems(found)[0]
    assert "'2 QUAY V C 00:00:00:00 00:00:01:00 00:00:01:00' is no event" in problems(found)[1]


def test_lines_of_several_megabytes_are_told_and_the_rest_is_read(read: Read) -> None:
    long = ["1" + " " * 3_000_000 + "V", "* FROM CLIP NAME: " + "a" * 2_000_000, "x" * 2_000_000]
    found = read("\n".join([*long, event("4", "00:00:00:00", "00:00:01:00", reel="NETS")]))
    assert [slot.id for slot in found.slots] == ["4"]
    assert [problem.line for problem in found.problems] == [1, 2, 3]


def test_a_name_longer_than_any_files_is_no_file(read: Read) -> None:
    name = "nets" + ".jpg" * 1000
    (slot,) = read(event("1", "00:00:00:00", "00:00:01:00") + f"* FROM CLIP NAME: {name}\n").slots
    assert (slot.wanted, slot.still) == (name, "")


def test_many_lines_without_a_meaning_are_counted(read: Read) -> None:
    found = read(event("1", "00:00:00:00", "00:00:01:00", reel="NETS") + "what\n" * 5000)
    assert len(found.problems) == 1001
    assert "4000 more lines" in problems(found)[-1]


@pytest.mark.parametrize(
    ("content", "why"),
    [
        ("", "has no event; an edit decision list has a line for each event"),
        ("TITLE: Salt and Linen\n", "has no event"),
        ("slot,start,end\n", "has no event"),
        (event("1", "00:00:00:30", "00:00:01:00"), "has no usable event: line 1: event 1: .*frames go to 24"),
    ],
)
def test_a_file_without_a_usable_event_is_refused(read: Read, content: str, why: str) -> None:
    with pytest.raises(ListError, match=f"film.edl' {why}"):
        read(content)


def test_a_folder_or_nothing_in_the_place_of_a_file_is_refused(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "none.edl", Path("a\0b")):
        with pytest.raises(ListError, match=r"is no file|cannot be read"):
            read_edit_list(path, Fraction(25))


def test_a_list_of_sound_is_an_empty_cut_list(read: Read) -> None:
    found = read(event("1", "00:00:00:00", "00:00:01:00", "AA"))
    assert (found.slots, found.problems, len(found.skipped)) == ((), (), 1)


# ---- recognising


@pytest.mark.parametrize(
    "head",
    [
        "TITLE: Salt\n",
        "TITLE: Salt\nFCM: DROP FRAME\n",
        "\n\nFCM: NON-DROP FRAME\n",
        event("1", "00:00:00:00", "00:00:01:00"),
        "* made by hand\n" + event("1", "00:00:00:00", "00:00:01:00"),
        "made by hand\n" + event("1", "00:00:00:00", "00:00:01:00"),
        "TITLE: Salt, Linen, Nets; and more, much more\n001  AX  V  C  00:00:00",
    ],
)
def test_an_edit_list_is_known_by_its_content(head: str) -> None:
    assert looks_like_edit_list(head.encode())


@pytest.mark.parametrize(
    "head",
    [
        b"",
        b"\0",
        b"slot,start,end,wanted\n1,01:00:00:00,01:00:05:00,Nets\n",
        b"TITLE: Salt\nslot;start;end;wanted\n1;01:00:00:00;01:00:05:00;Nets\n",
        b"event\treel\ttrack\tway\tin\tout\tstart\tend\n1\tAX\tV\tC\t" + b"00:00:00:00\t" * 4,
        b"WEBVTT\n\n00:01.000 --> 00:04.000\nTitle: Salt\n",
        b"1\n00:00:01,000 --> 00:00:04,000\nIn the harbour\n",
        b'{"OTIO_SCHEMA": "Timeline.1"}',
        b"\x89PNG\r\n\x1a\n" + bytes(range(256)),
        b"PK\x03\x04" + bytes(range(256)),
        "Zażółć gęślą".encode("utf-16"),
    ],
)
def test_other_files_are_not_taken_for_edit_lists(head: bytes) -> None:
    assert not looks_like_edit_list(head)
