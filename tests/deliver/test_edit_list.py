"""Edit decision lists as written: read by the otio-cmx3600-adapter event by event, and read back here."""

from __future__ import annotations

import random
import re
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import opentimelineio as otio
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kenburns.cutlist.events.edit_list import looks_like_edit_list, read_edit_list
from kenburns.cutlist.slots import CutList
from kenburns.deliver.edit_list import CARDS, STILLS, ListEntry, edit_list_text, film_edit_lists
from kenburns.motion.timebase import RATES, nominal, rate_text
from kenburns.plan.document import Plan
from kenburns.plan.labels import reel_name

NTSC, NTSC_60 = Fraction(30000, 1001), Fraction(60000, 1001)
COUNTS = [(rate, False) for rate in RATES] + [(NTSC, True), (NTSC_60, True)]
PAL = Fraction(25)

Place = tuple[int, int]


@st.composite
def places(draw: st.DrawFn, rate: Fraction, most: int = 300) -> list[Place]:
    """Starts and lengths of slots one after another, touching or with gaps, from anywhere in 20 hours on."""
    at = draw(st.integers(0, 20 * 3600 * nominal(rate)))
    found = []
    gaps = st.one_of(st.just(0), st.integers(0, 40 * nominal(rate)))
    for gap, length in draw(st.lists(st.tuples(gaps, st.integers(1, 30 * nominal(rate))), min_size=1, max_size=most)):
        found.append((at + gap, length))
        at += gap + length
    return found


def entries(slots: list[Place]) -> list[ListEntry]:
    return [ListEntry(reel_name(f"s{n:03d}"), f"s{n:03d}.mov", *place) for n, place in enumerate(slots, 1)]


def read_back(text: str, rate: Fraction, folder: Path, **options: str) -> CutList:
    path = folder / "list.edl"
    path.write_text(text, encoding="utf-8")
    return read_edit_list(path, rate, **options)


@dataclass(frozen=True)
class Theirs:
    """A clip as the adapter sees it; start counted from the first clip of its track, as its tracks begin there."""

    name: str
    reel: str
    source: Place
    place: Place
    markers: list[tuple[str, int]]


def theirs(text: str, rate: Fraction) -> list[Theirs]:
    """Read a list of one track with otio-cmx3600-adapter 1.0."""
    timeline = otio.adapters.read_from_string(text, "cmx_3600", rate=float(rate))
    (track,) = timeline.tracks
    return [
        Theirs(
            clip.name,
            clip.metadata["cmx_3600"]["reel"],
            frames_of(clip.source_range),
            frames_of(clip.range_in_parent()),
            [(marker.name, marker.marked_range.start_time.value) for marker in clip.markers],
        )
        for clip in track
        if isinstance(clip, otio.schema.Clip)
    ]


def frames_of(there: otio.opentime.TimeRange) -> Place:
    return there.start_time.value, there.duration.value


# ---- the text


def test_a_list_stands_as_it_is_written() -> None:
    clips = [
        ListEntry("02", "02.mov", 90_125, 50, "Nets", ("bears 1.4x",)),
        ListEntry("01", "01.mov", 90_000, 125),
    ]
    assert edit_list_text("Salt and Linen", clips, PAL, drop=False) == (
        "TITLE: Salt and Linen\n"
        "FCM: NON-DROP FRAME\n"
        "\n"
        "001  01       V     C        01:00:00:00 01:00:05:00 01:00:00:00 01:00:05:00\n"
        "* FROM CLIP NAME: 01.mov\n"
        "002  02       V     C        01:00:05:00 01:00:07:00 01:00:05:00 01:00:07:00\n"
        "* FROM CLIP NAME: 02.mov\n"
        "* COMMENT: Nets\n"
        "* LOC: 01:00:05:00 RED     bears 1.4x\n"
    )


def test_a_drop_frame_list_says_so_in_its_header_and_in_each_timecode() -> None:
    text = edit_list_text("Salt", [ListEntry("01", "01.mov", 1798, 4)], NTSC, drop=True)
    assert "FCM: DROP FRAME\n" in text
    # ST 12-1: labels 00:01:00;00 and ;01 are left out, so frame 1802 is 00:01:00;04
    assert "00:00:59;28 00:01:00;04 00:00:59;28 00:01:00;04\n" in text


def test_drop_frame_at_a_rate_that_has_none_is_refused() -> None:
    with pytest.raises(ValueError, match="drop-frame exists at"):
        edit_list_text("Salt", [ListEntry("01", "01.mov", 0, 4)], PAL, drop=True)


def test_no_text_breaks_out_of_its_line() -> None:
    hostile = "a\n002  X V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\r\u2028b" + "c" * 5000
    text = edit_list_text(hostile, [ListEntry("01", hostile, 0, 4, hostile, (hostile,))], PAL, drop=False)
    assert len(re.findall(r"^\d", text, re.MULTILINE)) == 1
    assert len(text.splitlines()) == 7
    assert max(map(len, text.splitlines())) < 500


def test_slots_that_overlap_lie_on_tracks_of_their_own(tmp_path: Path) -> None:
    clips = entries([(0, 50), (25, 50), (30, 10), (40, 10), (75, 5)])
    text = edit_list_text("Salt", clips, PAL, drop=False)
    assert re.findall(r"^\d+  \S+ +(\S+)", text, re.MULTILINE) == ["V", "V2", "V3", "V3", "V"]
    assert [(slot.start, slot.length) for slot in read_back(text, PAL, tmp_path).slots] == [
        (clip.start, clip.frames) for clip in clips
    ]


# ---- reels


def test_a_short_id_is_its_own_reel_in_capitals() -> None:
    assert [reel_name(slot) for slot in ("1", "003_v2", "Harbour1")] == ["1", "003_V2", "HARBOUR1"]


@pytest.mark.parametrize("slot", ["AX", "bl", "Black", "bars", "003-V2", "winter harbour", "Küche", "123456789", "ß"])
def test_other_ids_have_reels_of_eight_safe_characters_that_mean_nothing_else(slot: str) -> None:
    assert re.fullmatch(r"[A-Z2-7]{8}", reel_name(slot))
    assert reel_name(slot) == reel_name(slot)


def test_a_reel_is_the_same_in_every_run() -> None:
    # the first 8 letters of RFC 4648 base 32 of SHA-256 (FIPS 180-4), worked out with coreutils: sha256sum, base32
    assert reel_name("winter harbour") == "5GRFET4Q"


def test_the_reels_of_many_ids_differ() -> None:
    ids = [f"{word}{n}" for word in ("", "still-", "winter harbour ", "V2_") for n in range(5000)]
    assert len({reel_name(slot) for slot in ids}) == len(ids)


# ---- a film's lists


def test_stills_and_cards_have_a_list_each(small_plan: Plan, tmp_path: Path) -> None:
    lists = film_edit_lists(small_plan)
    assert list(lists) == [STILLS, CARDS]
    (still,) = read_back(lists[STILLS], PAL, tmp_path).slots
    (card,) = read_back(lists[CARDS], PAL, tmp_path).slots
    assert (still.start, still.length, still.wanted, still.note) == (250, 5, "01", "the harbour")
    assert (card.start, card.length, card.wanted, card.note) == (255, 4, "02", "no photograph yet; the quay")


def test_handles_change_neither_list(small_plan: Plan) -> None:
    # the clip begins earlier, by its handles, and so does its timecode: source in stays record in
    assert film_edit_lists(small_plan.model_copy(update={"handles": 12})) == film_edit_lists(small_plan)


def test_a_film_without_cards_has_a_list_without_events(small_plan: Plan) -> None:
    lists = film_edit_lists(small_plan.model_copy(update={"slots": small_plan.slots[:1]}))
    assert lists[CARDS] == "TITLE: Salt and Linen - cards\nFCM: NON-DROP FRAME\n\n"
    assert all(looks_like_edit_list(text.encode()) for text in lists.values())


# ---- there and back


@settings(
    max_examples=25,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture, HealthCheck.data_too_large],
)
@given(st.sampled_from(COUNTS), st.data())
def test_every_slot_reads_back_at_its_frame(tmp_path: Path, count: tuple[Fraction, bool], data: st.DataObject) -> None:
    rate, drop = count
    slots = data.draw(places(rate))
    found = read_back(edit_list_text("Salt and Linen", entries(slots), rate, drop), rate, tmp_path)
    assert [(slot.start, slot.length) for slot in found.slots] == slots
    assert [slot.wanted for slot in found.slots] == [f"s{n:03d}" for n in range(1, len(slots) + 1)]
    assert (found.problems, found.skipped, found.drop) == ((), (), drop)


@pytest.mark.parametrize(("rate", "drop"), COUNTS)
def test_three_hundred_slots_of_a_plan_read_back_at_their_frames(
    tmp_path: Path, small_plan: Plan, rate: Fraction, drop: bool
) -> None:
    second, chance = nominal(rate), random.Random(str(rate))
    at, slots = 3600 * second, []
    for number in range(1, 301):
        at, length = at + chance.choice([0, 0, 1, 37, 50 * second]), chance.randint(1, 12 * second)
        model = small_plan.slots[chance.randint(0, 1)]
        slots.append(
            model.model_copy(update={"slot": f"s{number}", "file": f"s{number}.mp4", "start": at, "frames": length})
        )
        at += length
    plan = small_plan.model_copy(update={"rate": rate_text(rate), "drop": drop, "handles": 12, "slots": tuple(slots)})
    found = [slot for text in film_edit_lists(plan).values() for slot in read_back(text, rate, tmp_path).slots]
    assert sorted((slot.start, slot.length, slot.wanted) for slot in found) == [
        (slot.start, slot.frames, slot.slot) for slot in slots
    ]


@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(st.sampled_from(COUNTS), st.data())
def test_the_adapter_reads_every_event_as_it_was_meant(count: tuple[Fraction, bool], data: st.DataObject) -> None:
    """Read by otio-cmx3600-adapter 1.0 (opentimelineio 0.18), event by event: record and source times, reel, name."""
    rate, drop = count
    slots = data.draw(places(rate, most=40))
    clips = theirs(edit_list_text("Salt and Linen", entries(slots), rate, drop), rate)
    assert [clip.name for clip in clips] == [f"s{n:03d}.mov" for n in range(1, len(slots) + 1)]
    assert [clip.reel for clip in clips] == [f"S{n:03d}" for n in range(1, len(slots) + 1)]
    assert [clip.source for clip in clips] == slots
    assert [(slots[0][0] + clip.place[0], clip.place[1]) for clip in clips] == slots


def test_the_adapter_reads_flags_as_markers() -> None:
    """In non-drop lists: its pattern for a marker's timecode knows no semicolon, and it passes others over."""
    clips = [ListEntry("01", "01.mov", 90_000, 125, markers=("bears 1.4x", "uncertain match"))]
    (clip,) = theirs(edit_list_text("Salt", clips, PAL, drop=False), PAL)
    assert clip.markers == [("bears 1.4x", 90_000), ("uncertain match", 90_000)]
