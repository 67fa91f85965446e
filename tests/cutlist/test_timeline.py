from __future__ import annotations

import json
import re
import zipfile
from fractions import Fraction
from pathlib import Path
from typing import Any

import opentimelineio as otio
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from opentimelineio import opentime, schema

from kenburns.cutlist.slots import CutList
from kenburns.cutlist.timelines.timeline import looks_like_timeline, read_timeline
from kenburns.errors import ListError
from kenburns.motion.timebase import RATES, parse_timecode
from tests.cutlist.timelines_made import PAL, clip, gap, messages, places, read_object, span, timeline, track


def test_clips_follow_each_other_and_gaps_keep_their_time() -> None:
    made = timeline(track("Stills", gap(10), clip("a", 5), clip("b", 7), gap(3), clip("c", 1)))
    assert places(read_object(made)) == {"a": (10, 15), "b": (15, 22), "c": (25, 26)}


def test_the_timeline_begins_at_its_start_timecode() -> None:
    made = timeline(track("Stills", clip("a", 5)), start=opentime.from_timecode("10:00:00:00", 25))
    assert places(read_object(made)) == {"a": (900_000, 900_005)}


def test_a_clip_without_source_range_is_as_long_as_its_media() -> None:
    made = clip("a", 1)
    made.source_range = None
    made.media_reference = schema.MissingReference(available_range=span(100, 40))
    assert places(read_object(timeline(track("Stills", made, clip("b", 2))))) == {"a": (0, 40), "b": (40, 42)}


def test_effects_of_speed_change_no_place() -> None:
    slow, still = clip("slow", 20), clip("still", 30)
    slow.effects.append(schema.LinearTimeWarp("half", 0.5))
    still.effects.append(schema.FreezeFrame("freeze"))
    made = timeline(track("Stills", slow, still))
    expected = {
        c.name: (int(c.range_in_parent().start_time.value), int(c.range_in_parent().end_time_exclusive().value))
        for c in made.find_clips()
    }
    assert places(read_object(made)) == expected == {"slow": (0, 20), "still": (20, 50)}


def test_a_transition_lengthens_the_slots_it_touches_and_makes_no_overlap_to_report() -> None:
    dissolve = schema.Transition(
        "SMPTE_Dissolve", in_offset=opentime.RationalTime(6, 25), out_offset=opentime.RationalTime(4, 25)
    )
    first, second = clip("a", 50), clip("b", 60)
    stills = track("Stills", gap(5), first, dissolve, second)
    read = read_object(timeline(stills))
    assert places(read) == {"a": (5, 59), "b": (49, 115)}
    # opentimelineio's word for it: the handles that the transition needs of each clip
    assert stills.handles_of_child(first)[1].value == 59 - 55
    assert stills.handles_of_child(second)[0].value == 55 - 49
    assert read.problems == ()


@st.composite
def nests(draw: st.DrawFn, depth: int = 3) -> Any:
    """A clip, a gap, or a stack or track of such, shown whole or in part; lengths in frames at 24, 25 or 50."""
    rate = 25 if depth == 3 else draw(st.sampled_from([25, 50]))
    kind = draw(st.sampled_from(["clip", "gap", "track", "stack"] if depth else ["clip", "gap"]))
    if kind == "clip":
        return clip(
            f"c{draw(st.integers(0, 10**9))}", 2 * draw(st.integers(1, 40)), rate, start=draw(st.integers(0, 99))
        )
    if kind == "gap":
        return gap(draw(st.integers(1, 20)))
    children = [draw(nests(depth - 1)) for _ in range(draw(st.integers(1, 3)))]
    made = schema.Stack("s", children) if kind == "stack" else track("t", *children)
    if draw(st.booleans()):
        made.source_range = span(draw(st.integers(0, 30)), draw(st.integers(1, 60)))
    return made


def visible(item: Any, top: Any) -> tuple[Fraction, Fraction] | None:
    """Return from and to in frames of 25 in the top's time, as opentimelineio carries it over, cut at each level."""
    place, at = item.trimmed_range(), item
    while at is not top:
        above = at.parent()
        place = at.transformed_time_range(place, above)
        if above is not top:
            window = above.trimmed_range()
            start = max(place.start_time, window.start_time)
            end = min(place.end_time_exclusive(), window.end_time_exclusive())
            if end <= start:
                return None
            place = opentime.range_from_start_end_time(start, end)
        at = above
    start, end = place.start_time.rescaled_to(25), place.end_time_exclusive().rescaled_to(25)
    return Fraction(start.value), Fraction(end.value)


@settings(max_examples=150)
@given(st.lists(nests(), min_size=1, max_size=4))
def test_nested_things_are_where_opentimelineio_puts_them(children: list[Any]) -> None:
    made = timeline(track("Stills", *children))
    for number, each in enumerate(made.find_clips()):
        each.name = f"c{number}"
    expected = {c.name: found for c in made.find_clips() if (found := visible(c, made.tracks))}
    if not list(made.find_clips()):
        assert read_object(made).slots == ()
        return
    if not expected:
        with pytest.raises(ListError, match="outside the part that is shown"):
            read_object(made)
        return
    read = read_object(made)
    # halves of a frame, from 50 to 25, go to the nearest even one
    rounded = {name: (round(start), round(end)) for name, (start, end) in expected.items()}
    assert places(read) == {name: found for name, found in rounded.items() if found[1] > found[0]}
    assert accounted(read) == len(list(made.find_clips()))


def accounted(read: CutList) -> int:
    """Count the clips that are slots, or are named or numbered in what was skipped."""
    skipped = 0
    for problem in read.skipped:
        held = re.search(r"(\d+) clips?\b(?!.*\d+ clip)", problem.message)
        skipped += int(held[1]) if held else problem.message.startswith("clip ")
    return len(read.slots) + skipped


def test_a_disabled_clip_is_skipped_with_a_reason_and_keeps_its_place() -> None:
    off, nest = clip("off", 10), schema.Stack("nest", [clip("x", 5), clip("y", 5)])
    off.enabled = nest.enabled = False
    read = read_object(timeline(track("Stills", off, clip("a", 5), nest, clip("b", 5))))
    assert places(read) == {"a": (10, 15), "b": (20, 25)}
    assert [str(problem) for problem in read.skipped] == [
        "clip 'off' is disabled",
        "stack 'nest' is disabled, and so 2 clips in it",
    ]


def test_times_at_another_rate_are_exact_where_whole_frames_come_out() -> None:
    read = read_object(timeline(track("Stills", clip("a", 10, 50), clip("b", 24, 24), clip("c", 0.2, 1))))
    assert places(read) == {"a": (0, 5), "b": (5, 30), "c": (30, 35)}
    assert read.problems == ()


def test_times_between_frames_go_to_the_nearest_and_are_reported_and_no_error_adds_up() -> None:
    # Each clip is 25/24 of a frame long: the ends are 1.04, 2.08 ... 25
    read = read_object(timeline(track("Stills", *(clip(f"c{number}", 1, 24) for number in range(24)))))
    assert [slot.start for slot in read.slots] == [round(Fraction(25 * number, 24)) for number in range(24)]
    assert read.slots[-1].end == 25
    assert "24 slots ('c0', 'c1', 'c2' …): start or end falls between two frames of the film" in messages(read.problems)


@pytest.mark.parametrize(
    ("frame", "rate", "film", "label"),
    [
        (86_400, 24, RATES[0], "01:00:00:00"),  # 24 -> 24000/1001
        (86_400, 24000 / 1001, PAL, "01:00:00:00"),
        (86_412, 24, PAL, "01:00:00:12"),  # half a second, on the even frame before it
        (107_892, 30000 / 1001, PAL, "01:00:00:00"),  # drop-frame
        (90_000, 25, RATES[3], "01:00:00;00"),
        (1_798 + 2, 25, RATES[3], "00:01:12;00"),
    ],
)
def test_a_start_at_another_rate_keeps_its_label(frame: int, rate: float, film: Fraction, label: str) -> None:
    made = timeline(track("Stills", clip("a", 10)), start=opentime.RationalTime(frame, rate))
    read = read_object(made, film)
    assert read.slots[0].start == parse_timecode(label, film)
    assert f"it starts at {label}" in messages(read.problems)


@pytest.mark.parametrize(
    ("rate", "frame", "drop"),
    [
        (RATES[3], 107_892, True),  # 01:00:00;00 and no whole second in non-drop
        (RATES[3], 108_000, False),  # 01:00:00:00 and no whole second in drop-frame
        (RATES[3], None, True),  # as opentime.to_timecode has it
        (RATES[6], 215_784, True),
        (RATES[4], 108_000, False),  # there is none at 30
    ],
)
def test_drop_frame_is_told_from_the_start_timecode(rate: Fraction, frame: int | None, drop: bool) -> None:
    start = None if frame is None else opentime.RationalTime(frame, float(rate))
    assert read_object(timeline(track("Stills", clip("a", 10, float(rate))), start=start), rate).drop is drop


OLD = {
    "OTIO_SCHEMA": "Timeline.1",
    "name": "old",
    "tracks": {
        "OTIO_SCHEMA": "Stack.1",
        "children": [
            {
                "OTIO_SCHEMA": "Sequence.1",
                "kind": "Video",
                "name": "Stills",
                "children": [
                    {"OTIO_SCHEMA": "Filler.1", "source_range": "12"},
                    {
                        "OTIO_SCHEMA": "Clip.1",
                        "name": "a",
                        "source_range": "30",
                        "media_reference": {"OTIO_SCHEMA": "ExternalReference.1", "target_url": "/x/a%20b.tif"},
                        "markers": [{"OTIO_SCHEMA": "Marker.1", "name": "look", "range": "1"}],
                    },
                ],
            }
        ],
    },
}


def test_schemas_of_former_versions_are_read_as_opentimelineio_reads_them() -> None:
    def ranges(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: ranges(held) for key, held in value.items()}
        if isinstance(value, list):
            return [ranges(held) for held in value]
        time = {"OTIO_SCHEMA": "RationalTime.1", "rate": 25}
        if isinstance(value, str) and value.isdigit():
            start, duration = time | {"value": 0}, time | {"value": int(value)}
            return {"OTIO_SCHEMA": "TimeRange.1", "start_time": start, "duration": duration}
        return value

    text = json.dumps(ranges(OLD))
    made = otio.adapters.read_from_string(text, "otio_json")
    (theirs,) = made.find_clips()
    (ours,) = read_object(text, markers="notes").slots
    start = theirs.range_in_parent().start_time.value
    assert (ours.start, ours.length) == (start, theirs.duration().value) == (12, 30)
    assert (ours.still, ours.note) == ("a b.tif", theirs.markers[0].name)


def test_an_object_written_once_and_referred_to_is_found() -> None:
    media = {"OTIO_SCHEMA": "ExternalReference.1", "OTIO_REF_ID": "m", "target_url": "sea.tif"}
    text = otio.adapters.write_to_string(timeline(track("Stills", clip("a", 5), clip("b", 5))), "otio_json")
    written = json.loads(text)
    first, second = written["tracks"]["children"][0]["children"]
    first["media_references"] = {"DEFAULT_MEDIA": media}
    second["media_references"] = {"DEFAULT_MEDIA": {"OTIO_SCHEMA": "SerializableObjectRef.1", "id": "m"}}
    assert [slot.still for slot in read_object(json.dumps(written)).slots] == ["sea.tif", "sea.tif"]


def test_a_track_whose_source_range_shows_nothing_of_it_is_read_at_the_place_it_says() -> None:
    # As opentimelineio's sample screening_example.otio has it, which was converted from an edit decision list.
    made = track("V", clip("a", 31, 24), clip("b", 50, 24))
    made.source_range = span(-86_243, 1_049, 24)
    read = read_object(timeline(made), Fraction(24))
    assert places(read) == {"a": (86_243, 86_274), "b": (86_274, 86_324)}
    assert "source_range that shows nothing" in messages(read.problems)


@pytest.mark.parametrize("outermost", ["stack", "track", "clip", "collection", "nested timeline"])
def test_a_timeline_may_be_less_or_more_than_a_timeline(outermost: str) -> None:
    single = clip("a", 5)
    made: Any = {
        "stack": lambda: schema.Stack("s", [track("Stills", single)]),
        "track": lambda: track("Stills", single),
        "clip": lambda: single,
        "collection": lambda: schema.SerializableCollection("c", [timeline(track("Stills", single)), clip("z", 9)]),
        "nested timeline": lambda: timeline(track("Stills", single)),
    }[outermost]()
    text = otio.adapters.write_to_string(made, "otio_json")
    if outermost == "nested timeline":
        outer = json.loads(otio.adapters.write_to_string(timeline(track("V1", gap(7))), "otio_json"))
        outer["tracks"]["children"][0]["children"].append(json.loads(text))
        text = json.dumps(outer)
    read = read_object(text)
    assert places(read) == {"a": (7, 12) if outermost == "nested timeline" else (0, 5)}
    assert ("is beside the first timeline" in messages(read.skipped)) is (outermost == "collection")


def test_a_bundle_is_read_without_being_unpacked(tmp_path: Path) -> None:
    path = tmp_path / "film.otioz"
    with zipfile.ZipFile(path, "w") as bundle:
        bundle.writestr("../../evil.tif", b"x")
        bundle.writestr("/etc/content.otio", b"{}")
        bundle.writestr("version.txt", b"1.0.0")
        made = timeline(track("Stills", clip("a", 5, url="media/sea%20fret.tif")))
        bundle.writestr("content.otio", otio.adapters.write_to_string(made, "otio_json"))
    before = {each: each.lstat().st_mtime_ns for each in tmp_path.parent.rglob("*")}
    assert [slot.still for slot in read_timeline(path, PAL).slots] == ["sea fret.tif"]
    assert {each: each.lstat().st_mtime_ns for each in tmp_path.parent.rglob("*")} == before
    theirs = otio.adapters.read_from_file(str(path))  # a bundle in opentimelineio's eyes too
    assert [found.name for found in theirs.find_clips()] == ["a"]


@pytest.mark.parametrize(
    ("name", "head", "expected"),
    [
        ("film.otio", b"", True),
        ("film.OTIOZ", b"PK", True),
        ("film.json", b'\xef\xbb\xbf {\n "OTIO_SCHEMA": "Timeline.1"', True),
        ("film.zip", b"PK\x03\x04" + bytes(26) + b"content.otio{", True),
        ("film.zip", b"PK\x03\x04" + bytes(26) + b"photo.jpg", False),
        ("film.csv", b"slot,start,end", False),
        ("film.json", b'{"name": "x"}', False),
        ("film.edl", b"TITLE: x", False),
    ],
)
def test_a_timeline_is_told_by_its_name_or_its_first_bytes(name: str, head: bytes, expected: bool) -> None:
    assert looks_like_timeline(Path(name), head) is expected
