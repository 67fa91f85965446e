"""One line of an edit decision list. Field order and marks as in SMPTE ST 258 (from memory) and common practice."""

from __future__ import annotations

import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.cutlist.events.comments import FROM, KEY, TO, read_statement, said
from kenburns.cutlist.events.event import Event, parse_event

TIMES = "01:00:04:05 01:00:05:12 00:59:53:11 00:59:54:18"


def parsed(text: str) -> Event:
    event = parse_event(text, 7)
    assert event is not None
    return event


def test_every_field_of_an_event_is_read() -> None:
    assert parsed(f"003  ZZ100_50 V     D    025 {TIMES} ") == Event(
        line=7,
        number="003",
        reel="ZZ100_50",
        track="V",
        transition="D",
        frames=25,
        record_in="00:59:53:11",
        record_out="00:59:54:18",
    )


@pytest.mark.parametrize(
    "line",
    [
        f"001  HARBOUR V     C        {TIMES}",
        f"001\tHARBOUR\tV\tC\t{TIMES}".replace(" ", "\t"),
        f"   001 HARBOUR V C {TIMES}   ",
        f"001 HARBOUR v c {TIMES}",
        f"001 HARBOUR V C {TIMES}".replace(" 0", "0"),  # no spaces between the timecodes
        f"001HARBOUR V C {TIMES}",
        f"001 HARBOUR V1 C {TIMES}".replace("V1", "V"),
        f"001 HARBOURV C {TIMES}",
        f"001 HARBOUR VC {TIMES}",
        f"001 HARBOUR V {TIMES}",
    ],
)
def test_spaces_tabs_and_missing_spaces_leave_the_fields_apart(line: str) -> None:
    event = parsed(line)
    assert (event.number, event.reel, event.track, event.transition) == ("001", "HARBOUR", "V", "C")
    assert (event.record_in, event.record_out) == ("00:59:53:11", "00:59:54:18")


@pytest.mark.parametrize(
    ("line", "reel", "track"),
    [
        (f"001  REEL0001AA/V  C {TIMES}", "REEL0001", "AA/V"),
        (f"001  REEL000VV     C {TIMES}", "REEL000V", "V"),
        (f"001  TAPE7A2       C {TIMES}", "TAPE7", "A2"),
    ],
)
def test_a_reel_that_touches_its_track_is_parted_and_told(line: str, reel: str, track: str) -> None:
    event = parsed(line)
    assert (event.reel, event.track) == (reel, track)
    assert len(event.doubts) == 1


@pytest.mark.parametrize(
    "reel",
    ["A", "V", "C", "0123", "x" * 32, "a_film-scan.0001.v2_" * 12, "two words and more", "12:30", "", "Küche_№7"],
)
def test_a_reel_may_be_long_short_or_of_several_words(reel: str) -> None:
    event = parsed(f"042 {reel} V2 W001 010 {TIMES}")
    assert (event.reel, event.track, event.transition, event.frames) == (reel, "V2", "W001", 10)
    assert event.doubts == ()


@pytest.mark.parametrize(
    ("field", "tracks"),
    [
        ("V", ("V",)),
        ("V1", ("V",)),
        ("V2", ("V2",)),
        ("V02", ("V2",)),
        ("A", ("A",)),
        ("A2", ("A2",)),
        ("AA", ("A", "A")),
        ("B", ("V", "A")),
        ("AA/V", ("A", "A", "V")),
        ("A2/V", ("A2", "V")),
        ("VA1A2", ("V", "A1", "A2")),
        ("NONE", ()),
        ("TITLES", ("TITLES",)),
    ],
)
def test_a_track_field_names_its_tracks(field: str, tracks: tuple[str, ...]) -> None:
    event = parsed(f"001 AX {field} C {TIMES}")
    assert event.tracks == tracks
    assert event.pictures == tuple(track for track in tracks if track.startswith("V"))


@pytest.mark.parametrize(
    ("field", "transition", "frames", "kind"),
    [
        ("C", "C", 0, "cut"),
        ("D    025", "D", 25, "dissolve"),
        ("D025", "D", 25, "dissolve"),
        ("W001 010", "W001", 10, "wipe"),
        ("W001010", "W001", 10, "wipe"),
        ("K", "K", 0, "key"),
        ("K    012", "K", 12, "key"),
        ("K B", "KB", 0, "key"),
        ("KB  000", "KB", 0, "key"),
        ("KO  005", "KO", 5, "key"),
    ],
)
def test_a_transition_and_its_length_are_read(field: str, transition: str, frames: int, kind: str) -> None:
    event = parsed(f"001 AX V {field} {TIMES}")
    assert (event.track, event.transition, event.frames, event.kind) == ("V", transition, frames, kind)


def test_a_length_may_touch_the_first_timecode() -> None:
    assert parsed(f"001 AX V D 025{TIMES}").frames == 25


def test_an_unknown_transition_is_a_cut_that_is_told() -> None:
    event = parsed(f"001 AX V SPIN 025 {TIMES}")
    assert (event.reel, event.track, event.kind, event.blends) == ("AX", "V", "unknown", False)
    assert "'SPIN' is not known" in event.doubts[0]


def test_what_stands_behind_the_times_is_kept() -> None:
    assert parsed(f"001 AX V C {TIMES}  look here").rest == "look here"


@pytest.mark.parametrize(
    "line",
    [
        "",
        "001",
        "001 AX V C",
        "001 AX V C 01:00:00:00 01:00:01:00 01:00:00:00",
        "001 AX V C 01:00:00:00 01:00:01:00 01:00:00:00 01:00:01:000",
        f"001 {TIMES}",
        f"* 001 AX V C {TIMES}",
        f"AX V C {TIMES}",
        "3 drawings and a gouache",
        f"001 AX V C {TIMES}" + " " * 5000 + "x",
        "٠٠١ AX V C ٠١:00:00:00 01:00:01:00 01:00:00:00 01:00:01:00",
    ],
)
def test_other_lines_are_no_events(line: str) -> None:
    assert parse_event(line, 1) is None


@settings(max_examples=200)
@given(
    st.integers(0, 99_999),
    st.text(string.ascii_letters + string.digits + "_-. ", max_size=60),
    st.sampled_from(["V", "V2", "A2", "AA/V", "B", "NONE"]),
    st.sampled_from([("C", 0), ("D", 25), ("W001", 7), ("K", 12)]),
)
def test_any_reel_reads_back(number: int, reel: str, track: str, transition: tuple[str, int]) -> None:
    name, frames = transition
    length = f"{frames:03d}" if frames else ""
    event = parsed(f"{number:03d}  {reel} {track:5} {name:4} {length} {TIMES}")
    assert event == Event(7, f"{number:03d}", " ".join(reel.split()), track, name, frames, "00:59:53:11", "00:59:54:18")


@settings(max_examples=300)
@given(st.text(max_size=300) | st.text("0123456789:;.,VACDWKB /\t", max_size=300))
def test_no_line_stops_the_reading(line: str) -> None:
    event = parse_event(line, 1)
    assert event is None or (event.track and event.record_in)
    read_statement(line)


# ---- the lines below


@pytest.mark.parametrize(
    ("line", "kind", "text", "side"),
    [
        ("TITLE:   Salt and Linen", "title", "Salt and Linen", ""),
        ("FCM: DROP FRAME", "drop", "", ""),
        ("FCM: NON-DROP FRAME", "non-drop", "", ""),
        ("FCM:NON DROP FRAME", "non-drop", "", ""),
        ("fcm: nondrop", "non-drop", "", ""),
        ("* FROM CLIP NAME:  Winter Harbour", "name", "Winter Harbour", FROM),
        ("*FROM CLIP NAME: nets.tif ", "name", "nets.tif", FROM),
        ("FROM CLIP NAME: shot1", "name", "shot1", FROM),
        ("* FROM CLIP NAME IS NETS", "name", "NETS", FROM),
        ("* TO CLIP NAME: b: two", "name", "b: two", TO),
        ("* KEY CLIP NAME: c", "name", "c", KEY),
        ("*SOURCE FILE: nets_02.tif", "source", "nets_02.tif", ""),
        (r"* FROM CLIP: S:\stills\nets.tif", "source", r"S:\stills\nets.tif", FROM),
        ("* TO FILE: /stills/nets.tif", "source", "/stills/nets.tif", TO),
        ("* LOC: 01:00:01:14 RED     ANIM FIX NEEDED", "marker", "ANIM FIX NEEDED", ""),
        ("*LOC: 01:00:01;14 GREEN", "marker", "", ""),
        ("* LOC: 01:00:01:14 Winter Harbour", "marker", "Winter Harbour", ""),
        ("* LOC: 01:00:01:14 BLUE Blue Kitchen", "marker", "Blue Kitchen", ""),
        ("* LOC:", "marker", "", ""),
        (" |C:Blue |M:Winter Harbour |D:1", "marker", "Winter Harbour", ""),
        ("* COMMENT: calm, before the laugh", "note", "calm, before the laugh", ""),
        ("* calm", "note", "calm", ""),
        ("* * FREEZE FRAME", "technical", "FREEZE FRAME", ""),
        ("M2   Z682_156       000.0                01:00:10:21", "technical", "", ""),
        ("SPLIT:    AUDIO DELAY=  00:00:01:00", "technical", "", ""),
        ("AUD  3    4", "technical", "", ""),
        ("EFFECTS NAME IS CROSS DISSOLVE", "technical", "", ""),
        ("*ASC_SOP (0.1 0.2 0.3) (1.0 -0.0122 0.0305) (1.0 0.0 1.0)", "technical", "", ""),
    ],
)
def test_a_line_is_told_by_its_first_words(line: str, kind: str, text: str, side: str) -> None:
    statement = read_statement(line)
    assert statement is not None
    assert (statement.kind, statement.side) == (kind, side)
    if text or kind != "technical":
        assert statement.text == text


@pytest.mark.parametrize("line", ["hello", "Winter Harbour", "slot,start,end,wanted", "LOCATION: studio"])
def test_a_line_without_a_star_and_a_known_word_states_nothing(line: str) -> None:
    assert read_statement(line) is None


def test_a_source_file_belongs_to_the_name_above_it_and_second_names_are_notes() -> None:
    lines = [
        "* FROM CLIP NAME: a",
        "* SOURCE FILE: a.tif",
        "* TO CLIP NAME: b",
        "* SOURCE FILE: b.tif",
        "* TO CLIP NAME: c",
    ]
    found = said([statement for line in lines if (statement := read_statement(line))])
    assert found.names == {FROM: "a", TO: "b"}
    assert found.sources == {FROM: "a.tif", TO: "b.tif"}
    assert found.notes == ("c",)
