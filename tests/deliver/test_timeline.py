from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import opentimelineio as otio
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from opentimelineio import opentime

from kenburns.cutlist.slots import CutList
from kenburns.cutlist.timelines.timeline import read_timeline
from kenburns.deliver.timeline import CARDS, STILLS, film_timeline, first_hour
from kenburns.motion.timebase import RATES, format_timecode, parse_timecode, rate_text
from kenburns.plan.document import Plan, PlannedFrame, PlannedSlot, PlannedStill
from kenburns.plan.labels import first_frame

PAL = Fraction(25)
HOUR = 90_000  # frames of 25 a second


def slot(name: str, start: int, frames: int, *, still: str = "", **texts: Any) -> PlannedSlot:
    picture = PlannedStill(file=still, sha256="0" * 64, width=6000, height=4000, matched_by="name", score=100)
    return PlannedSlot(
        slot=name,
        file=f"{name}.mov",
        kind="clip" if still else "card",
        start=start,
        frames=frames,
        still=picture if still else None,
        **{"wanted": "", **texts},
    )


def plan_of(slots: Sequence[PlannedSlot], rate: Fraction = PAL, *, drop: bool = False, handles: int = 0) -> Plan:
    return Plan(
        title="Salt and Linen",
        frame=PlannedFrame(width=1920, height=1080),
        rate=rate_text(rate),
        drop=drop,
        codec="x",
        card_look="x",
        matte="#161616",
        kernel="x",
        handles=handles,
        slots=tuple(slots),
    )


def opened(plan: Plan) -> Any:
    """Return the timeline as opentimelineio reads it."""
    return otio.adapters.read_from_string(film_timeline(plan), "otio_json")


def read_back(plan: Plan, rate: Fraction) -> CutList:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "film.otio"
        path.write_text(film_timeline(plan), encoding="utf-8")
        return read_timeline(path, rate)


def clips_at(timeline: Any) -> dict[str, tuple[int, int]]:
    """Return by slot the first frame and the first frame after it, as opentimelineio places each clip."""
    places = {}
    for clip in timeline.find_clips():
        place = clip.transformed_time_range(clip.trimmed_range(), timeline.tracks)
        start = timeline.global_start_time + place.start_time
        assert start.value == int(start.value)
        name = clip.metadata["kenburns"]["slot"]
        places[name] = (int(start.value), int((start + place.duration).value))
    return places


def test_stills_lie_below_cards_each_at_its_place_with_gaps_between() -> None:
    plan = plan_of(
        [
            slot("01", HOUR + 50, 100, still="kestrel.tif", wanted="Kestrel Kitchen"),
            slot("02", HOUR + 150, 75, wanted="The quay"),
            slot("03", HOUR + 300, 25, still="shoal.tif", wanted="Shoal"),
        ]
    )
    timeline = opened(plan)
    assert [track.name for track in timeline.tracks] == [STILLS, CARDS]  # bottom up, as OpenTimelineIO's Stack says
    assert {track.kind for track in timeline.tracks} == {otio.schema.TrackKind.Video}
    stills = [(type(item).__name__, item.name, int(item.duration().value)) for item in timeline.tracks[0]]
    assert stills == [
        ("Gap", "", 50), ("Clip", "Kestrel Kitchen", 100), ("Gap", "", 150), ("Clip", "Shoal", 25),
    ]  # fmt: skip
    assert clips_at(timeline) == {
        "01": (HOUR + 50, HOUR + 150), "02": (HOUR + 150, HOUR + 225), "03": (HOUR + 300, HOUR + 325),
    }  # fmt: skip
    assert timeline.name == "Salt and Linen"


def test_touching_slots_have_no_gap_between_them() -> None:
    track = opened(plan_of([slot("a", 0, 10, still="a.tif"), slot("b", 10, 10, still="b.tif")])).tracks[0]
    assert [type(item).__name__ for item in track] == ["Clip", "Clip"]


def test_slots_of_a_kind_that_overlap_go_on_a_further_track() -> None:
    plan = plan_of([slot("a", 0, 20, still="a.tif"), slot("b", 10, 20, still="b.tif"), slot("c", 20, 5, still="c.tif")])
    timeline = opened(plan)
    assert [track.name for track in timeline.tracks] == ["Stills", "Stills 2", CARDS]
    assert clips_at(timeline) == {"a": (0, 20), "b": (10, 30), "c": (20, 25)}


def test_a_clips_media_begins_at_its_own_timecode_and_counts_the_handles() -> None:
    plan = plan_of([slot("01", HOUR, 100, still="a.tif")], handles=12)
    clip = next(iter(opened(plan).find_clips()))
    media = clip.media_reference.available_range
    assert (media.start_time.value, media.duration.value) == (HOUR - 12, 124)
    assert opentime.to_timecode(media.start_time, 25) == "00:59:59:13"
    assert (clip.source_range.start_time.value, clip.source_range.duration.value) == (HOUR, 100)


@pytest.mark.parametrize(
    ("rate", "drop", "expected"),
    [(Fraction(25), False, "23:59:59:15"), (Fraction(30000, 1001), True, "23:59:59;20")],
)
def test_handles_before_midnight_are_the_end_of_the_day_before(rate: Fraction, drop: bool, expected: str) -> None:
    plan = plan_of([slot("01", 0, 100, still="a.tif")], rate, drop=drop, handles=10)
    media = next(iter(opened(plan).find_clips())).media_reference.available_range
    assert format_timecode(first_frame(plan.slots[0], plan), rate, drop=drop) == expected
    assert opentime.to_timecode(media.start_time, float(rate), drop) == expected
    assert media.contains(next(iter(opened(plan).find_clips())).source_range)


@pytest.mark.parametrize(
    ("file", "url"),
    [
        ("007.mov", "007.mov"),
        ("Käthe's quay #2 100%.mov", "K%C3%A4the%27s%20quay%20%232%20100%25.mov"),
        ("a?b.mov", "a%3Fb.mov"),
    ],
)
def test_media_is_a_relative_reference_of_rfc_3986(file: str, url: str) -> None:
    # RFC 3986: unreserved characters stand as they are (2.3), others as UTF-8 in per cent (2.1, 2.5)
    plan = plan_of([slot("x", 0, 10, still="a.tif").model_copy(update={"file": file})])
    reference = next(iter(opened(plan).find_clips())).media_reference
    assert reference.target_url == url
    assert Path(otio.url_utils.filepath_from_url(url)).name == file


def test_flags_are_markers_on_the_clip_in_colours_of_the_palette() -> None:
    plan = plan_of(
        [slot("a", 40, 10, still="a.tif", flags=("bears 1.4×", "look")), slot("b", 60, 10, flags=("no photograph",))]
    )
    clips = list(opened(plan).find_clips())
    marks = [[(mark.comment, mark.color, int(mark.marked_range.start_time.value)) for mark in c.markers] for c in clips]
    colours = otio.schema.MarkerColor
    assert marks == [
        [("bears 1.4×", colours.YELLOW, 40), ("look", colours.YELLOW, 40)],
        [("no photograph", colours.RED, 60)],
    ]


@pytest.mark.parametrize(
    ("label", "rate", "drop", "start"),
    [
        ("00:59:59:24", PAL, False, "00:00:00:00"),
        ("01:00:00:00", PAL, False, "01:00:00:00"),
        ("10:41:07:03", PAL, False, "10:00:00:00"),
        ("01:00:00;00", RATES[3], True, "01:00:00;00"),
        ("01:10:00;02", RATES[6], True, "01:00:00;00"),
    ],
)
def test_the_timeline_starts_at_the_full_hour_before_the_first_slot(
    label: str, rate: Fraction, drop: bool, start: str
) -> None:
    first = parse_timecode(label, rate)
    plan = plan_of([slot("b", first + 50, 10), slot("a", first, 10, still="a.tif")], rate, drop=drop)
    beginning = opened(plan).global_start_time
    assert opentime.to_timecode(beginning, float(rate), drop) == start
    assert beginning.value == first_hour(plan)


@pytest.mark.parametrize("rate", RATES)
def test_opentimelineio_takes_every_rate_written_for_one_of_timecode(rate: Fraction) -> None:
    # In 0.17 the check was called is_valid_timecode_rate.
    written = opened(plan_of([slot("a", 0, 10, still="a.tif")], rate)).global_start_time.rate
    is_known = getattr(
        opentime.RationalTime, "is_smpte_timecode_rate", getattr(opentime.RationalTime, "is_valid_timecode_rate", None)
    )
    assert is_known is not None
    assert is_known(written)
    assert opentime.RationalTime(1, written).rate == rate.numerator / rate.denominator


def test_a_film_without_slots_is_an_empty_timeline() -> None:
    timeline = opened(plan_of([]))
    assert [len(track) for track in timeline.tracks] == [0, 0]
    assert timeline.global_start_time.value == 0


def test_every_word_of_a_slot_comes_back() -> None:
    texts = {"wanted": "Shoal", "caption": "Shoal, 1998", "credit": "© Ilse Marrow", "note": "ask again"}
    plan = plan_of([slot("a b", 100, 10, still="sub/shoal.tif", **texts), slot("c", 110, 10, flags=("no photograph",))])
    first, second = read_back(plan, PAL).slots
    assert (first.id, first.still, first.wanted, first.caption, first.credit, first.note) == (
        "a b", "sub/shoal.tif", "Shoal", "Shoal, 1998", "© Ilse Marrow", "ask again",
    )  # fmt: skip
    assert (second.id, second.still, second.wanted, second.note) == ("c", "", "", "")


@st.composite
def films(draw: st.DrawFn) -> Plan:
    """300 slots at a rate, touching or with gaps between, stills and cards; the whole may lie anywhere in the day."""
    rate = draw(st.sampled_from(RATES))
    drop = rate in (RATES[3], RATES[6]) and draw(st.booleans())
    at = draw(st.integers(0, round(20 * 3600 * rate)))
    seed = draw(st.randoms(use_true_random=False))
    slots = []
    for number in range(300):
        at += seed.choice([0, 0, 1, seed.randint(2, 4000)])
        frames = seed.choice([1, 2, seed.randint(3, 900)])
        still = seed.choice(["", f"{number}.tif"])
        slots.append(slot(f"{number:03}", at, frames, still=still, wanted=seed.choice(["", "Shoal", "The quay"])))
        at += frames
    return plan_of(slots, rate, drop=drop, handles=draw(st.integers(0, 50)))


@settings(max_examples=25)
@given(films())
def test_three_hundred_slots_come_back_at_their_frames_and_opentimelineio_places_them_there(plan: Plan) -> None:
    expected = {slot.slot: (slot.start, slot.start + slot.frames) for slot in plan.slots}
    assert clips_at(opened(plan)) == expected
    read = read_back(plan, plan.exact_rate)
    assert {slot.id: (slot.start, slot.end) for slot in read.slots} == expected
    assert [slot.still for slot in read.slots] == [slot.still.file if slot.still else "" for slot in plan.slots]
    assert read.skipped == ()
    assert read.drop == plan.drop
