"""Edit decision lists read here and by the otio-cmx3600-adapter; whatever comes, every event is accounted for."""

from __future__ import annotations

import random
import re
from fractions import Fraction
from pathlib import Path

import opentimelineio as otio
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kenburns.cutlist.events.edit_list import looks_like_edit_list, read_edit_list
from kenburns.cutlist.slots import CutList
from kenburns.errors import ListError
from kenburns.motion.timebase import RATES, format_timecode, nominal

NTSC = Fraction(30000, 1001)
Place = tuple[str, int, int]

# What both read the same: cuts, gaps, names, speeds, notes without a star, no spaces behind one, markers.
CUTS = """\
TITLE:   Salt and Linen
FCM: NON-DROP FRAME
001  ZZ100_50 V     C        01:00:04:05 01:00:05:12 00:59:53:11 00:59:54:18
*FROM CLIP NAME:  Winter Harbour (1)
*LOC: 01:00:01:14 RED     look here
*LOC: 01:00:02:14 GREEN
*SOURCE FILE: harbour_01.tif
002  ZZ100_50 V     C        01:00:06:13 01:00:06:14 00:59:56:20 00:59:58:00
M2   ZZ100_50       000.0                01:00:06:13
* FROM CLIP NAME:  Nets FF
* * FREEZE FRAME
003  AX       AA/V  C        00:10:00:00 00:10:01:00 01:00:00:00 01:00:01:00
FROM CLIP NAME: Blue Kitchen
004  BL       V     C        00:00:00:00 00:00:02:00 01:00:01:00 01:00:03:00
"""

BLENDS = """\
TITLE: Salt and Linen
FCM: NON-DROP FRAME
001  TST      V     C        01:00:04:05 01:00:05:05 01:00:00:00 01:00:01:00
* FROM CLIP NAME:  Winter Harbour
002  TST      V     C        01:00:05:05 01:00:05:05 01:00:01:00 01:00:01:00
FCM: NON-DROP FRAME
002  TST      V     D    010 01:00:08:08 01:00:09:08 01:00:01:00 01:00:02:00
EFFECTS NAME IS CROSS DISSOLVE
* FROM CLIP NAME:  Winter Harbour
* TO CLIP NAME:  Nets
003  TST      V     C        01:00:09:08 01:00:09:08 01:00:02:00 01:00:02:00
003  TST      V     W001 008 01:00:08:08 01:00:09:08 01:00:02:00 01:00:03:00
* FROM CLIP NAME:  Nets
* TO CLIP NAME:  Blue Kitchen
"""


def ours(text: str, rate: Fraction, folder: Path) -> CutList:
    path = folder / "film.edl"
    path.write_text(text, encoding="utf-8")
    return read_edit_list(path, rate)


def theirs(text: str, rate: Fraction, first: int) -> list[Place]:
    """Read with otio-cmx3600-adapter 1.0: name, start and length of what lies on V, black too; `first` is its start."""
    timeline = otio.adapters.read_from_string(text, "cmx_3600", rate=float(rate))
    found = []
    for clip in next(track for track in timeline.tracks if track.name == "V"):
        if isinstance(clip, otio.schema.Clip):
            there = clip.range_in_parent()
            found.append((clip.name, first + there.start_time.value, there.duration.value))
    return found


@pytest.mark.parametrize("rate", [Fraction(24), Fraction(25), Fraction(30)])
def test_cuts_are_read_as_the_adapter_reads_them(tmp_path: Path, rate: Fraction) -> None:
    """Two differences: the adapter keeps black as a clip, and takes "FF" (freeze frame) off a clip's name."""
    base = nominal(rate)
    found = ours(CUTS, rate, tmp_path)
    read = [(slot.wanted.removesuffix(" FF"), slot.start, slot.length) for slot in found.slots]
    black = ("4", 3601 * base, 2 * base)
    assert [(name.lstrip("0"), *place) for name, *place in theirs(CUTS, rate, found.slots[0].start)] == [*read, black]
    assert found.slots[0].still == "harbour_01.tif"
    assert [str(problem) for problem in found.skipped] == ["line 14: event 004 is black"]
    assert not found.problems


@pytest.mark.parametrize("rate", [Fraction(24), Fraction(25), Fraction(30)])
def test_transitions_are_read_as_the_adapter_reads_them(tmp_path: Path, rate: Fraction) -> None:
    """One difference: in the adapter's timeline a clip ends where the next begins, and the transition reaches over.

    A slot is all that is seen of its clip, so it ends with the transition: its length is theirs and the transition's.
    """
    base = nominal(rate)
    found = ours(BLENDS, rate, tmp_path)
    read = [(slot.wanted, slot.start, slot.length) for slot in found.slots]
    assert read == [
        ("Winter Harbour", 3600 * base, base + 10),
        ("Nets", 3601 * base, base + 8),
        ("Blue Kitchen", 3602 * base, base),
    ]
    blends = [10, 8, 0]
    longer = [
        (name, at, length + more)
        for (name, at, length), more in zip(theirs(BLENDS, rate, 3600 * base), blends, strict=True)
    ]
    assert longer == read


def test_drop_frame_is_read_as_the_adapter_reads_it(tmp_path: Path) -> None:
    lines = ["TITLE: Salt", "FCM: DROP FRAME"]
    places = [(f"Nets {n}", 107_892 + n * 1793, 1793 - n % 7) for n in range(40)]
    for number, (name, at, length) in enumerate(places, 1):
        first, end = (format_timecode(frame, NTSC, drop=True) for frame in (at, at + length))
        lines += [f"{number:03d}  AX V C {first} {end} {first} {end}", f"* FROM CLIP NAME: {name}"]
    text = "\n".join(lines)
    assert theirs(text, NTSC, places[0][1]) == places
    assert [(slot.wanted, slot.start, slot.length) for slot in ours(text, NTSC, tmp_path).slots] == places


# ---- every event is accounted for


def event_lines(text: str) -> set[int]:
    """Return the lines that begin with a digit, as an event must."""
    return {n for n, line in enumerate(re.split(r"\r\n|\r|\n", text), 1) if re.match(r"\s*[0-9]", line)}


def accounted(found: CutList) -> set[int]:
    return {slot.line for slot in found.slots} | {problem.line for problem in (*found.skipped, *found.problems)}


def refused_or_accounted(text: str, rate: Fraction, folder: Path) -> bool:
    try:
        return event_lines(text) <= accounted(ours(text, rate, folder))
    except ListError as error:
        return "event" in str(error)


_numbers = st.sampled_from(["001", "2", "003", "12", "1000", "7b", ""])
_reels = st.sampled_from(["AX", "BL", "NETS", "a reel of thirty-two characters..", "", "TAPE7V"])
_tracks = st.sampled_from(["V", "V2", "A", "AA/V", "B", "NONE", "X", "v", ""])
_ways = st.sampled_from(["C", "D    010", "D", "W001 025", "K B", "K    010", "SPIN", ""])
_times = st.builds(
    "{:02d}:{:02d}:{:02d}{}{:02d}".format,
    st.sampled_from([0, 1, 99]),
    st.sampled_from([0, 1, 59, 60]),
    st.sampled_from([0, 30, 59]),
    st.sampled_from(":::;.,"),
    st.integers(0, 31),
)
_gaps = st.sampled_from([" ", " ", "  ", "\t", ""])
_event_lines = st.builds(
    lambda fields, gap: gap.join(fields),
    st.tuples(_numbers, _reels, _tracks, _ways, _times, _times, _times, _times),
    _gaps,
)
_other_lines = st.sampled_from(
    [
        "TITLE: Salt",
        "FCM: DROP FRAME",
        "FCM: NON-DROP FRAME",
        "* FROM CLIP NAME: nets.tif",
        "* TO CLIP NAME: Quay",
        "* LOC: 01:00:00:00 RED",
        "M2 NETS 012.5 00:00:00:00",
        "SPLIT: AUDIO DELAY= 00:00:00:10",
        "what",
        "",
        "5 nets",
    ]
)
_quick = settings(max_examples=120, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])


@_quick
@given(
    st.lists(_event_lines | _other_lines, max_size=25), st.sampled_from(["\n", "\r\n", "\r"]), st.sampled_from(RATES)
)
def test_every_event_is_a_slot_skipped_or_told(tmp_path: Path, lines: list[str], end: str, rate: Fraction) -> None:
    assert refused_or_accounted(end.join(lines), rate, tmp_path)


@pytest.mark.parametrize("seed", range(40))
def test_a_damaged_list_loses_no_event_silently(tmp_path: Path, seed: int) -> None:
    """Characters of a good list are dropped, doubled or replaced."""
    chance = random.Random(seed)
    text = "".join(
        chance.choice(["", c + c, "x", "0", ":", "\t", "\n", "é"]) if chance.random() < 0.03 else c
        for c in CUTS + BLENDS
    )
    assert refused_or_accounted(text, Fraction(25), tmp_path)


@_quick
@given(st.binary(max_size=600), st.booleans())
def test_any_bytes_are_read_or_refused(tmp_path: Path, data: bytes, after_a_list: bool) -> None:
    path = tmp_path / "film.edl"
    path.write_bytes(CUTS.encode() + data if after_a_list else data)
    try:
        found = read_edit_list(path, Fraction(25))
    except ListError:
        assert not after_a_list
    else:
        assert (len(found.slots) >= 2) or not after_a_list
    assert isinstance(looks_like_edit_list(data), bool)


def test_ten_thousand_events_are_all_read(tmp_path: Path) -> None:
    lines = ["TITLE: Salt", "FCM: DROP FRAME"]
    for number in range(10_000):
        first, end = (format_timecode(107_892 + frame * 50, NTSC, drop=True) for frame in (number, number + 1))
        lines += [f"{number % 999 + 1:03d}  NETS V C {first} {end} {first} {end}", f"* FROM CLIP NAME: Nets {number}"]
    found = ours("\n".join(lines), NTSC, tmp_path)
    assert [slot.start for slot in found.slots] == [107_892 + number * 50 for number in range(10_000)]
    assert len({slot.id for slot in found.slots}) == 10_000
    assert (found.problems, found.skipped) == ((), ())


def test_a_list_that_never_ends_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ListError, match="more than 100000 events"):
        ours("1 x\n" * 100_001, Fraction(25), tmp_path)
