"""Timelines made with opentimelineio for a test, and read with ours."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import opentimelineio as otio
from opentimelineio import opentime, schema

from kenburns.cutlist.slots import CutList
from kenburns.cutlist.timelines.timeline import read_timeline

PAL = Fraction(25)


def span(start: float, length: float, rate: float = 25) -> Any:
    return opentime.TimeRange(opentime.RationalTime(start, rate), opentime.RationalTime(length, rate))


def clip(name: str, length: float, rate: float = 25, *, url: str = "", start: float = 0) -> Any:
    media = schema.ExternalReference(url) if url else None
    return schema.Clip(name, media, span(start, length, rate))


def gap(length: float) -> Any:
    return schema.Gap(source_range=span(0, length))


def track(name: str, *children: Any, kind: str = "Video") -> Any:
    return schema.Track(name, children, kind=kind)


def timeline(*tracks: Any, start: Any = None) -> Any:
    made = schema.Timeline("Salt and Linen", global_start_time=start)
    made.tracks.extend(tracks)
    return made


def read_object(made: Any, rate: Fraction = PAL, **options: Any) -> CutList:
    text = made if isinstance(made, str) else otio.adapters.write_to_string(made, "otio_json")
    with TemporaryDirectory() as folder:
        path = Path(folder) / "film.otio"
        path.write_text(text, encoding="utf-8")
        return read_timeline(path, rate, **options)


def places(read: CutList) -> dict[str, tuple[int, int]]:
    return {slot.wanted: (slot.start, slot.end) for slot in read.slots}


def messages(problems: Any) -> str:
    return "\n".join(str(problem) for problem in problems)
