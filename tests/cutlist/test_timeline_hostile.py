from __future__ import annotations

import copy
import json
import random
import zipfile
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kenburns.cutlist.slots import CutList
from kenburns.cutlist.timelines import file as timeline_file
from kenburns.cutlist.timelines import walk as timeline_walk
from kenburns.cutlist.timelines.timeline import read_timeline
from kenburns.errors import KenburnsError, ListError

PAL = Fraction(25)


def time(value: Any, rate: Any = 25) -> dict[str, Any]:
    return {"OTIO_SCHEMA": "RationalTime.1", "value": value, "rate": rate}


def span(start: Any, length: Any, rate: Any = 25) -> dict[str, Any]:
    return {"OTIO_SCHEMA": "TimeRange.1", "start_time": time(start, rate), "duration": time(length, rate)}


def clip(name: str, length: Any = 10, **more: Any) -> dict[str, Any]:
    return {"OTIO_SCHEMA": "Clip.2", "name": name, "source_range": span(0, length)} | more


def track(name: str, *children: Any, **more: Any) -> dict[str, Any]:
    return {"OTIO_SCHEMA": "Track.1", "name": name, "kind": "Video", "children": list(children)} | more


def timeline(*tracks: Any, **more: Any) -> dict[str, Any]:
    return {"OTIO_SCHEMA": "Timeline.1", "tracks": {"OTIO_SCHEMA": "Stack.1", "children": list(tracks)}} | more


@pytest.fixture
def read(tmp_path: Path) -> Any:
    def read_it(made: Any, **options: Any) -> CutList:
        path = tmp_path / "film.otio"
        content = made if isinstance(made, bytes) else json.dumps(made).encode()
        path.write_bytes(content)
        return read_timeline(path, PAL, **options)

    return read_it


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is not JSON"),
        (b"{", "is not JSON"),
        (b"slot,start\n1,2\n", "is not JSON"),
        (b"\xff\xfe\x00", "is not text in UTF-8"),
        (b'{"OTIO_SCHEMA": "Timeline.1", "name": "\xff"}', "is not text in UTF-8 (byte 39)"),
        (b"[1, 2]", "is JSON and no timeline"),
        (b'{"name": "x"}', "is JSON and no timeline"),
        (b'{"OTIO_SCHEMA": 3}', "is JSON and no timeline"),
        (b'{"OTIO_SCHEMA": "Novel.1"}', "it holds 'Novel' and no timeline"),
        (b'{"OTIO_SCHEMA": "SerializableCollection.1", "children": []}', "a collection without a timeline"),
        (b"[" * 2_000_000, "deeper than can be followed"),
        (b'{"OTIO_SCHEMA":"Stack.1","children":[' * 100_000, "deeper than can be followed"),
        (b'{"OTIO_SCHEMA": "Timeline.1", "x": ' + b"9" * 10_000 + b"}", "is not JSON"),
        (b"PK\x03\x04 and no more", "is a zip that cannot be read"),
    ],
)
def test_what_is_no_timeline_is_an_error_that_names_file_and_rule(read: Any, content: bytes, words: str) -> None:
    with pytest.raises(ListError, match=r"film\.otio") as refusal:
        read(content)
    assert words in str(refusal.value)


def test_a_file_that_is_not_there_or_a_folder_is_an_error(tmp_path: Path) -> None:
    for path in (tmp_path / "none.otio", tmp_path):
        with pytest.raises(ListError, match="is no file"):
            read_timeline(path, PAL)


@pytest.mark.parametrize(
    ("length", "rate", "words"),
    [
        (-5, 25, "clip 'bad': a duration is 0 frames or more, not -5"),
        (float("nan"), 25, "clip 'bad': a time is a number of frames and a rate, both finite, not nan"),
        (5, float("nan"), "both finite, not '0' at nan"),
        (5, 0, "a rate is above 0"),
        (1e30, 25, "a time is at most"),
    ],
)
def test_a_time_that_is_none_on_a_track_that_is_read_is_an_error(read: Any, length: Any, rate: Any, words: str) -> None:
    bad = clip("bad") | {"source_range": span(0, length, rate)}
    with pytest.raises(ListError, match=r"film\.otio") as refusal:
        read(timeline(track("Stills", clip("a"), bad)))
    assert words in str(refusal.value)


def test_a_time_that_is_none_on_another_track_is_told_of_and_the_rest_is_read(read: Any) -> None:
    found = read(timeline(track("Talk", clip("bad", -1)), track("Stills", clip("a"))))
    assert [slot.wanted for slot in found.slots] == ["a"]
    assert "video track 1 (track 'Talk') cannot be followed to its end" in str(found.problems[1])


def test_an_unknown_thing_keeps_its_place_where_it_says_how_long_it_is(read: Any) -> None:
    found = read(timeline(track("Stills", clip("a"), clip("odd", OTIO_SCHEMA="Hologram.3"), clip("b"))))
    assert [(slot.wanted, slot.start) for slot in found.slots] == [("a", 0), ("b", 20)]
    assert [str(each) for each in found.skipped] == [
        "hologram 'odd' is nothing that is known to take time in a track; its place is kept"
    ]


@pytest.mark.parametrize("unsaid", [{"OTIO_SCHEMA": "Hologram.3", "name": "x"}, clip("x") | {"source_range": None}, 7])
def test_what_comes_after_a_thing_of_unknown_length_has_no_place_and_is_told_of(read: Any, unsaid: Any) -> None:
    found = read(timeline(track("Stills", clip("a"), unsaid, clip("b"), clip("c"))))
    assert [slot.wanted for slot in found.slots] == ["a"]
    assert len(found.skipped) == 3
    assert "does not say how long it is" in str(found.skipped[0])
    assert "clip 'b' has no place that can be known: it comes after" in str(found.skipped[1])


def test_clips_of_a_later_version_are_read_as_far_as_they_are_alike(read: Any) -> None:
    assert [slot.wanted for slot in read(timeline(track("Stills", clip("a", OTIO_SCHEMA="Clip.9")))).slots] == ["a"]


def test_things_nested_too_deep_are_an_error(read: Any) -> None:
    nest: Any = clip("a")
    for _ in range(60):
        nest = {"OTIO_SCHEMA": "Stack.1", "name": "nest", "children": [nest]}
    with pytest.raises(ListError, match="things within things go 40 deep at most"):
        read(timeline(track("Stills", nest)))


def test_a_thing_that_holds_itself_is_an_error(read: Any) -> None:
    ring = track("Stills", clip("a"), {"OTIO_SCHEMA": "SerializableObjectRef.1", "id": "r"}, OTIO_REF_ID="r")
    with pytest.raises(ListError, match="things within things go 40 deep at most"):
        read(timeline(ring))


def test_a_few_things_that_refer_to_each_other_a_million_times_are_an_error_and_no_hang(
    read: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(timeline_walk, "_MOST", 5_000)
    levels = []
    for level in range(20):  # each holds the one before twice: 2**20 clips
        below = {"OTIO_SCHEMA": "SerializableObjectRef.1", "id": f"{level - 1}"} if level else clip("a")
        levels.append({"OTIO_SCHEMA": "Stack.1", "OTIO_REF_ID": f"{level}", "children": [below, below]})
    made = timeline(track("Stills", {"OTIO_SCHEMA": "SerializableObjectRef.1", "id": "19"}), metadata={"held": levels})
    with pytest.raises(ListError, match="a timeline of at most 5,000 things is read"):
        read(made)


def test_what_is_left_out_is_counted_without_a_hang_however_often_it_is_referred_to(read: Any) -> None:
    levels = []
    for level in range(30):
        below = {"OTIO_SCHEMA": "SerializableObjectRef.1", "id": f"{level - 1}"} if level else clip("x")
        levels.append({"OTIO_SCHEMA": "Stack.1", "OTIO_REF_ID": f"{level}", "children": [below, below]})
    nest = {"OTIO_SCHEMA": "SerializableObjectRef.1", "id": "29"}
    off = {"OTIO_SCHEMA": "Stack.1", "name": "off", "enabled": False, "source_range": span(0, 5), "children": [nest]}
    found = read(timeline(track("Stills", off, clip("a")), metadata={"held": levels}))
    assert [slot.start for slot in found.slots] == [5]
    assert str(found.skipped[0]) == f"stack 'off' is disabled, and so {2**30} clips in it"


def test_too_large_a_file_is_refused_plain_and_in_a_bundle(
    read: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(timeline_file, "_LARGEST", 1_000_000)
    with pytest.raises(ListError, match="holds more than 1 MB of timeline"):
        read(b" " * 1_000_001)
    path = tmp_path / "film.otioz"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as bundle:
        bundle.writestr("content.otio", b" " * 200_000_000)
    assert path.stat().st_size < 250_000  # it unpacks to a thousand times its size
    with pytest.raises(ListError, match="holds more than 1 MB of timeline"):
        read_timeline(path, PAL)


def test_a_bundle_with_too_long_a_list_of_members_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timeline_file, "_LARGEST_DIRECTORY", 100_000)
    path = tmp_path / "film.otioz"
    with zipfile.ZipFile(path, "w") as bundle:
        for number in range(2_000):
            bundle.writestr(f"{number}.tif", b"")
        bundle.writestr("content.otio", json.dumps(timeline(track("Stills", clip("a")))))
    with pytest.raises(ListError, match="its list of members is too long"):
        read_timeline(path, PAL)


def test_a_bundle_without_a_timeline_is_an_error(tmp_path: Path) -> None:
    path = tmp_path / "film.otioz"
    with zipfile.ZipFile(path, "w") as bundle:
        bundle.writestr("media/content.otio", "{}")
    with pytest.raises(ListError, match=r"is a zip without 'content\.otio'"):
        read_timeline(path, PAL)


def test_infinity_is_read_in_each_of_its_spellings(read: Any) -> None:
    # opentimelineio reads "Inf" too: its sample big_int.otio has it. Not where it stands in a text.
    made = json.dumps(timeline(track("Stills", clip("Inf, -Inf")), metadata={"a": "x"}))
    text = made.replace('"x"', r'[Inf, -Inf, Infinity, NaN, "Inf \" Inf"]')
    assert [slot.wanted for slot in read(text.encode()).slots] == ["Inf, -Inf"]


def test_what_begins_before_midnight_or_ends_past_timecode_is_skipped(read: Any) -> None:
    late = read(timeline(track("Stills", clip("a"), clip("late", 100 * 3600 * 25))))
    assert str(late.skipped[0]) == "clip 'late' ends after 99 hours, the last that timecode counts"
    early = track("Stills 2", clip("early"), source_range=span(25, 5))
    found = read(timeline(track("Stills", clip("a")), early))
    assert str(found.skipped[0]) == "clip 'early' begins before timecode 00:00:00:00"


def test_a_fade_does_not_reach_out_of_the_timeline(read: Any) -> None:
    fade = {"OTIO_SCHEMA": "Transition.1", "in_offset": time(3), "out_offset": time(3)}
    assert [(slot.start, slot.end) for slot in read(timeline(track("Stills", fade, clip("a")))).slots] == [(0, 10)]


def test_a_timeline_shown_in_part_begins_where_that_part_does(read: Any) -> None:
    made = timeline(track("Stills", clip("gone"), clip("cut"), clip("long", 5000)))
    made["tracks"]["source_range"] = span(15, 1000)
    found = read(made)
    assert [(slot.wanted, slot.start, slot.end) for slot in found.slots] == [("cut", 0, 5), ("long", 5, 1000)]
    assert str(found.skipped[0]).startswith("clip 'gone' lies outside the part that is shown")


def test_a_clip_shorter_than_half_a_frame_is_skipped(read: Any) -> None:
    found = read(
        timeline(track("Stills", clip("a"), clip("flash") | {"source_range": span(0, 1, 100)}, clip("none", 0)))
    )
    assert [str(each) for each in found.skipped] == [
        "clip 'flash' is shorter than one frame of the film",
        "clip 'none' is shorter than one frame of the film",
    ]


def test_a_transition_without_lengths_lengthens_nothing_and_is_told_of(read: Any) -> None:
    found = read(timeline(track("Stills", clip("a"), {"OTIO_SCHEMA": "Transition.1", "name": "x"}, clip("b"))))
    assert [(slot.start, slot.end) for slot in found.slots] == [(0, 10), (10, 20)]
    assert str(found.skipped[0]).startswith("transition 'x' lengthens nothing: a time is")


def test_a_start_timecode_that_is_none_is_an_error(read: Any) -> None:
    for start in (time(-1), time(float("nan")), time(1e9), "01:00:00:00"):
        with pytest.raises(ListError, match=r"film\.otio"):
            read(timeline(track("Stills", clip("a")), global_start_time=start))


WHOLE = timeline(
    track(
        "Stills",
        clip("a", markers=[{"OTIO_SCHEMA": "Marker.2", "name": "m", "marked_range": span(2, 3)}], enabled=True),
        {"OTIO_SCHEMA": "Transition.1", "in_offset": time(2), "out_offset": time(2)},
        {"OTIO_SCHEMA": "Stack.1", "name": "s", "children": [clip("b"), track("t", clip("c"))]},
        clip("d", media_references={"DEFAULT_MEDIA": {"OTIO_SCHEMA": "ExternalReference.1", "target_url": "d.tif"}}),
        clip("e", metadata={"kenburns": {"slot": "e", "wanted": "E"}}),
    ),
    track("A1", clip("f"), kind="Audio"),
    global_start_time=time(90_000),
)
ODD: list[Any] = [
    *(
        None,
        True,
        0,
        -1,
        0.5,
        1e308,
        float("nan"),
        float("inf"),
        10**400,
        2**63,
        "",
        "x",
        "\ud800",
        "con",
        [],
        [None],
        {},
    ),
    *(
        "Clip.2",
        "Foo.1",
        "Stack.1",
        "Track.1",
        "Timeline.1",
        "Transition.1",
        clip("z"),
        track("z", clip("y")),
        span(0, 5),
    ),
    {"OTIO_SCHEMA": "SerializableObjectRef.1", "id": "r"},
]


def places_in(value: Any) -> list[tuple[Any, Any]]:
    keys = list(value) if isinstance(value, dict) else range(len(value)) if isinstance(value, list) else []
    return [(value, key) for key in keys] + [place for key in keys for place in places_in(value[key])]


def found_or_refused(read: Any, made: Any, markers: str) -> CutList | None:
    try:
        found: CutList = read(made, markers=markers)
    except KenburnsError as error:
        str(error).encode()
        return None
    return found


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(st.integers(0, 2**32), st.sampled_from(["slots", "cues", "notes"]))
def test_whatever_is_wrong_in_a_timeline_it_is_slots_or_an_error_of_ours(read: Any, seed: int, markers: str) -> None:
    chance, made = random.Random(seed), copy.deepcopy(WHOLE)
    for _ in range(chance.randint(1, 6)):
        holder, key = chance.choice(places_in(made) or [({"x": 0}, "x")])
        holder[key] = copy.deepcopy(chance.choice(ODD))
        if isinstance(holder, dict) and chance.random() < 0.1:
            holder["OTIO_REF_ID"] = "r"
    found = found_or_refused(read, made, markers)
    if found is None:
        return
    repr(found).encode()  # no half of a surrogate pair gets through
    for slot in found.slots:
        assert slot.start >= 0
        assert slot.length >= 1
        assert all(0 <= cue < slot.length for cue in slot.cues)
    assert len({slot.id.casefold() for slot in found.slots}) == len(found.slots)


def test_ten_thousand_clips_are_ten_thousand_slots(read: Any) -> None:
    found = read(timeline(track("Stills", *(clip(f"work {number % 7}", 1 + number % 5) for number in range(10_000)))))
    assert len(found.slots) == len({slot.id for slot in found.slots}) == 10_000
    assert found.slots[-1].end == 30_000
