"""The forms of a cut list are told apart by content; opentimelineio writes the timeline."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import opentimelineio as otio
import pytest

from kenburns.cutlist.reading import Choice, read_cut_list
from kenburns.cutlist.slots import CutList
from kenburns.errors import ListError, OptionError

TABLE = "slot,start,end,wanted\n07,01:00:02:00,01:00:05:00,Blue Kitchen\n"
EVENTS = (
    "TITLE: SEA\nFCM: NON-DROP FRAME\n\n"
    "001  AX       V2    C        00:00:00:00 00:00:03:00 01:00:02:00 01:00:05:00\n* FROM CLIP NAME: Blue Kitchen\n"
    "002  AX       V     C        00:00:00:00 00:00:03:00 01:00:09:00 01:00:12:00\n* FROM CLIP NAME: Talk\n"
)


def timeline(path: Path) -> Path:
    clip = otio.schema.Clip("Blue Kitchen", source_range=span(0, 75))
    track = otio.schema.Track("stills", children=[otio.schema.Gap(source_range=span(0, 50)), clip])
    whole = otio.schema.Timeline("sea", tracks=[track], global_start_time=otio.opentime.RationalTime(90_000, 25))
    otio.adapters.write_to_file(whole, str(path), "otio_json")
    return path


def span(start: int, length: int) -> otio.opentime.TimeRange:
    return otio.opentime.TimeRange(otio.opentime.RationalTime(start, 25), otio.opentime.RationalTime(length, 25))


def places(read: CutList) -> list[tuple[int, int, str]]:
    return [(slot.start, slot.length, slot.wanted) for slot in read.slots]


def test_one_slot_is_read_the_same_from_every_form_whatever_the_file_is_called(tmp_path: Path) -> None:
    """One hour and two seconds at 25 frames a second are 90,050 frames; three seconds are 75."""
    for form, text in (("table", TABLE), ("events", EVENTS)):
        (tmp_path / form).write_text(text)
    choice = Choice(track="V2")
    assert places(read_cut_list(tmp_path / "table", Fraction(25))) == [(90_050, 75, "Blue Kitchen")]
    assert places(read_cut_list(tmp_path / "events", Fraction(25), choice)) == [(90_050, 75, "Blue Kitchen")]
    assert places(read_cut_list(timeline(tmp_path / "timeline"), Fraction(25))) == [(90_050, 75, "Blue Kitchen")]


def test_a_choice_that_a_form_does_not_have_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(TABLE)
    with pytest.raises(OptionError, match=r"--track 'V2': .*a table, which has no tracks"):
        read_cut_list(tmp_path / "a.csv", Fraction(25), Choice(track="V2"))
    with pytest.raises(OptionError, match=r"--reel 'AX': .*a timeline, which has tracks and no reels"):
        read_cut_list(timeline(tmp_path / "a.otio"), Fraction(25), Choice(reel="AX"))


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(ListError, match=r"none\.edl' cannot be read: No such file"):
        read_cut_list(tmp_path / "none.edl", Fraction(25))
