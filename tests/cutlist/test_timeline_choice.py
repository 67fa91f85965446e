from __future__ import annotations

import pytest
from opentimelineio import schema

from kenburns.errors import ListError
from tests.cutlist.timelines_made import clip, gap, messages, places, read_object, timeline, track


def test_a_track_named_for_stills_is_read_before_all_others_and_the_rest_is_told_of() -> None:
    made = timeline(
        track("Interview", clip("Ada", 100, url="ada.mov")),
        track("B-roll stills", clip("a", 5)),
        track("Titles", clip("title", 10)),
        track("A1", clip("sound", 100), kind="Audio"),
    )
    read = read_object(made)
    assert places(read) == {"a": (0, 5)}
    assert "slots are the clips of video track 2 (track 'B-roll stills'), named for stills, of 3" in messages(
        read.problems
    )
    assert [str(problem) for problem in read.skipped] == [
        "video track 1 (track 'Interview') is not read (1 clip)",
        "video track 3 (track 'Titles') is not read (1 clip)",
        "track 'A1' holds no pictures (1 clip)",
    ]


def test_else_the_topmost_track_with_photographs_is_read_without_the_footage_on_it() -> None:
    made = timeline(
        track("V1", clip("Ada", 100, url="file:///films/ada.mov")),
        track("V2", clip("a", 5, url="a.tif"), clip("b", 5), clip("drone", 10, url="drone.mp4"), clip("c", 5)),
        track("V3", clip("title", 10)),
        track("V4"),
    )
    read = read_object(made)
    assert places(read) == {"a": (0, 5), "b": (5, 10), "c": (20, 25)}
    assert "clip 'drone' is filmed and no still; ask for its track to have it read too" in messages(read.skipped)
    assert places(read_object(made, track="V2")).keys() == {"a", "b", "drone", "c"}


def test_else_the_topmost_track_without_filmed_clips_is_read() -> None:
    made = timeline(
        track("V1", clip("Ada", 9, url="ada.mov")), track("V2", clip("a", 5)), track("V3", clip("b.mp4", 5))
    )
    assert places(read_object(made)) == {"a": (0, 5)}


@pytest.mark.parametrize("asked", ["v1", "1", "V1", " interview "])
def test_a_track_asked_for_by_name_or_number_is_read(asked: str) -> None:
    made = timeline(track("Interview", clip("Ada", 100, url="ada.mov")), track("Stills", clip("a", 5)))
    assert places(read_object(made, track=asked)) == {"Ada": (0, 100)}


def test_several_tracks_can_be_asked_for() -> None:
    made = timeline(track("One", clip("a", 5)), track("Two", gap(5), clip("b", 5)), track("Three", clip("c", 5)))
    assert places(read_object(made, track="One, 2")) == {"a": (0, 5), "b": (5, 10)}


def test_a_track_that_is_not_there_is_an_error_that_names_those_that_are() -> None:
    with pytest.raises(ListError, match=r"no video track is called 'Photos'; there are 1 'One', 2 'Two'"):
        read_object(timeline(track("One", clip("a", 5)), track("Two")), track="Photos")


def test_in_a_nest_the_tracks_named_for_stills_are_read_alone() -> None:
    nest = schema.Stack("nest", [track("Talk", clip("Ada", 50)), track("Stills", gap(10), clip("a", 5))])
    read = read_object(timeline(track("V1", gap(100), nest)))
    assert places(read) == {"a": (110, 115)}
    assert [str(problem) for problem in read.skipped] == [
        "track 'Talk' is not read: beside it are tracks named for stills (1 clip)"
    ]


def test_slots_are_called_after_their_clips_and_no_two_alike() -> None:
    made = timeline(track("Stills", *(clip(name, 5) for name in ["Sea.tif", "sea", "a/b", "", "Sea", "03"])))
    assert [slot.id for slot in read_object(made).slots] == ["Sea", "sea_2", "a/b", "04", "Sea_3", "03"]


def test_inserting_a_clip_leaves_the_ids_of_the_others() -> None:
    before = read_object(timeline(track("Stills", clip("Sea", 5), clip("Shoal", 5))))
    after = read_object(timeline(track("Stills", clip("Quay", 5), clip("Sea", 5), clip("Shoal", 5))))
    assert [slot.id for slot in before.slots] == [slot.id for slot in after.slots][1:]


def test_the_id_that_this_tool_wrote_goes_before_the_clips_name_and_a_split_clip_gets_another() -> None:
    first, second = clip("Sea", 5), clip("Sea", 5)
    for each in (first, second):
        each.metadata["kenburns"] = {"slot": "007", "wanted": "Sea", "still": "sea.tif"}
    read = read_object(timeline(track("Stills", first, second)))
    assert [(slot.id, slot.still) for slot in read.slots] == [("007", "sea.tif"), ("007_2", "sea.tif")]
    assert "its id '007' is the id of another slot too, so the slot is called '007_2'" in messages(read.problems)


def test_a_clip_renamed_since_this_tool_wrote_it_wants_what_its_name_says() -> None:
    made = clip("Harbour at dusk", 5)
    made.metadata["kenburns"] = {"slot": "007", "wanted": "Sea", "credit": "© Ilse Marrow"}
    (slot,) = read_object(timeline(track("Stills", made))).slots
    assert (slot.id, slot.wanted, slot.credit) == ("007", "Harbour at dusk", "© Ilse Marrow")
