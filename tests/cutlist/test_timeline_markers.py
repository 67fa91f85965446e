from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import opentimelineio as otio
import pytest
from opentimelineio import opentime, schema

from kenburns.cutlist.slots import CutList
from kenburns.cutlist.timelines.timeline import read_timeline
from kenburns.errors import ListError, OptionError

PAL = Fraction(25)


def span(start: float, length: float) -> Any:
    return opentime.TimeRange(opentime.RationalTime(start, 25), opentime.RationalTime(length, 25))


def marker(name: str, start: float, length: float = 1, comment: str = "") -> Any:
    return schema.Marker(name, span(start, length), comment=comment)


def clip(name: str, length: float, *markers: Any, url: str = "", start: float = 0) -> Any:
    made = schema.Clip(name, schema.ExternalReference(url) if url else None, span(start, length))
    made.markers.extend(markers)
    return made


def timeline(*tracks: tuple[str, list[Any]], markers: tuple[Any, ...] = ()) -> Any:
    made = schema.Timeline("Salt and Linen")
    made.tracks.extend([schema.Track(name, children) for name, children in tracks])
    made.tracks.markers.extend(markers)
    return made


@pytest.fixture
def read(tmp_path: Path) -> Any:
    def read_it(made: Any, **options: Any) -> CutList:
        path = tmp_path / "film.otio"
        otio.adapters.write_to_file(made, str(path))
        return read_timeline(path, PAL, **options)

    return read_it


def said(problems: Any) -> list[str]:
    return [str(problem) for problem in problems]


def test_a_cue_is_counted_from_the_slots_start_wherever_in_the_media_it_was_set(read: Any) -> None:
    # The clip shows frames 500 to 600 of its media; opentimelineio keeps a clip's markers in the media's time.
    made = timeline(("Stills", [clip("a", 10), clip("b", 100, marker("face", 530), marker("hand", 560), start=500)]))
    (owner,) = (c for c in made.find_clips() if c.name == "b")
    theirs = owner.transformed_time_range(owner.markers[0].marked_range, made.tracks).start_time.value
    slots = read(made, markers="cues").slots
    assert [slot.cues for slot in slots] == [(), (30, 60)]
    assert slots[1].start + slots[1].cues[0] == theirs == 40


def test_a_marker_on_the_timeline_or_another_track_cues_the_slot_it_falls_in(read: Any) -> None:
    made = timeline(
        ("Interview", [clip("Ada", 100, marker("x", 25), url="ada.mov")]),
        ("Stills", [clip("a", 20), clip("b", 20)]),
        markers=(marker("y", 39), marker("y", 0), marker("again", 39)),
    )
    read_it = read(made, markers="cues")
    assert [slot.cues for slot in read_it.slots] == [(0,), (5, 19)]
    assert read_it.skipped[0].message == "video track 1 (track 'Interview') is not read (1 clip)"


def test_a_marker_that_falls_in_no_slot_is_reported(read: Any) -> None:
    made = timeline(("Stills", [clip("a", 20)]), markers=(marker("late", 20),))
    for way in ("cues", "notes"):
        read_it = read(made, markers=way)
        assert said(read_it.problems) == ["marker 'late' at 00:00:00:20 falls in no slot; it is left out"]
        assert (read_it.slots[0].cues, read_it.slots[0].note) == ((), "")


def test_notes_are_what_the_markers_say_in_their_order(read: Any) -> None:
    made = timeline(("Stills", [clip("a", 20, marker("", 3, comment="ask Ilse"), marker("crop", 9, comment="crop"))]))
    assert [slot.note for slot in read(made, markers="notes").slots] == ["ask Ilse; crop"]


def test_a_marker_with_a_length_is_a_slot_beside_the_clips_of_a_stills_track(read: Any) -> None:
    made = timeline(
        ("Stills", [clip("a", 20)]),
        ("Interview", [clip("Ada", 300, marker("Kestrel Kitchen", 150, 75, "the blue one"), url="ada.mov", start=50)]),
    )
    slots = read(made).slots
    assert [(slot.wanted, slot.note, slot.start, slot.end) for slot in slots] == [
        ("a", "", 0, 20),
        ("Kestrel Kitchen", "the blue one", 100, 175),
    ]


def test_where_only_filmed_clips_are_there_the_markers_alone_are_slots(read: Any) -> None:
    made = timeline(("V1", [clip("Ada", 300, marker("sea.tif", 50, 75), url="ada.mov")]))
    read_it = read(made)
    assert [(slot.id, slot.still, slot.start, slot.length) for slot in read_it.slots] == [("sea", "sea.tif", 50, 75)]
    assert said(read_it.skipped) == ["video track 1 (track 'V1') is not read (1 clip)"]
    assert "slots are the markers with a length, not the filmed clips" in said(read_it.problems)[0]
    asked = read(made, track="1")
    assert [slot.wanted for slot in asked.slots] == ["Ada"]


def test_a_point_or_a_marker_on_a_slot_is_no_slot_and_says_why(read: Any) -> None:
    made = timeline(
        ("Stills", [clip("a", 20, marker("long", 5, 10))]), markers=(marker("point", 12, 1), marker("nothing", 0, 0))
    )
    assert said(read(made).skipped) == [
        "marker 'point' at 00:00:00:12 has no length; read markers as cues or notes, or give it one",
        "marker 'nothing' at 00:00:00:00 has no length; read markers as cues or notes, or give it one",
        "marker 'long' at 00:00:00:05 is on a clip that is a slot already; read markers as cues or notes",
    ]


def test_a_marker_outside_the_part_of_its_clip_that_is_shown_is_told_of(read: Any) -> None:
    made = timeline(("Stills", [clip("a", 20, marker("before", 9), marker("end", 30), start=10)]))
    assert said(read(made, markers="cues").skipped) == [
        "marker 'before' lies outside the part that is shown of clip 'a'",
        "marker 'end' lies outside the part that is shown of clip 'a'",
    ]


def test_in_a_dissolve_a_marker_belongs_to_the_clip_that_is_cut_there(read: Any) -> None:
    ten = opentime.RationalTime(10, 25)
    joined = [clip("a", 50), schema.Transition("x", "SMPTE_Dissolve", ten, ten), clip("b", 50)]
    made = timeline(("Stills", joined), markers=(marker("in a", 45), marker("in b", 55)))
    first, second = read(made, markers="notes").slots
    assert (first.note, second.note) == ("in a", "in b")
    assert (first.end, second.start) == (60, 40)


def test_this_tools_own_flags_count_for_nothing(read: Any) -> None:
    flag = marker("bears 1.4×", 2)
    flag.metadata["kenburns"] = {"flag": "01"}
    read_it = read(timeline(("Stills", [clip("a", 20, flag)])), markers="notes")
    assert read_it.slots[0].note == ""
    assert said(read_it.problems) == ["1 marker set by this tool as flags count for nothing"]


def test_an_unknown_way_to_read_markers_is_refused(read: Any) -> None:
    with pytest.raises(OptionError, match="markers are read as slots, cues or notes, not 'dots'"):
        read(timeline(("Stills", [clip("a", 20)])), markers="dots")


def test_markers_alone_that_are_points_leave_nothing_and_the_error_says_why(read: Any) -> None:
    with pytest.raises(ListError, match=r"nothing that can be a slot: marker 'x' at 00:00:00:03 has no length"):
        read(timeline(("Stills", []), markers=(marker("x", 3),)))
