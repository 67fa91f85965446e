"""film.otio: the stills and the cards on video tracks of their own, each at its place, for import into the edit.

OpenTimelineIO's JSON, with the schemas of its version 0.15 and later. Tracks stand bottom up, stills below cards. A
clip's media begins where the clip file's own timecode does (see labels.py). The timeline starts at the full hour before
the first slot.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import Any
from urllib.parse import quote

from ..motion.timebase import format_timecode, parse_timecode, rate_text
from ..plan.document import Plan, PlannedSlot
from ..plan.labels import Begins, first_frame

NAME = "film.otio"
STILLS, CARDS = "Stills", "Placeholder cards"
"""What the tracks are called; words on screen are finished and lie with the stills. A second track of a kind, for slots
that overlap, is "Stills 2"."""

# From OpenTimelineIO's palette: a placeholder is work still to be done, another flag is a thing to look at.
_FLAG_COLOURS = {True: "RED", False: "YELLOW"}

Object = dict[str, Any]


def film_timeline(plan: Plan, begins: Begins | None = None) -> str:
    """Return the text of film.otio, which lies beside the clips: their files are named relative to it.

    `begins`: where the files that stand begin; without it, where they would if made now.

    ValueError where drop-frame does not exist at the plan's rate, and for slots before midnight or after 99 hours.
    """
    rate = plan.exact_rate
    first = first_hour(plan)
    tracks = [*_tracks(plan, STILLS, first, begins), *_tracks(plan, CARDS, first, begins)]
    timeline = _schema("Timeline.1", plan.title, own={"rate": rate_text(rate), "drop": plan.drop}) | {
        "global_start_time": _time(first, rate),
        "tracks": _item("Stack.1", "tracks") | {"children": tracks},
    }
    return json.dumps(timeline, indent=4, ensure_ascii=False) + "\n"


def first_hour(plan: Plan) -> int:
    """Return the frame of the full hour before the first slot, counted from 00:00:00:00; 0 where there is no slot."""
    rate = plan.exact_rate
    starts = [slot.start for slot in plan.slots]
    hour = format_timecode(min(starts), rate, drop=plan.drop)[:2] if starts else "00"
    return parse_timecode(f"{hour}:00:00:00", rate, drop=plan.drop)


def _tracks(plan: Plan, name: str, first: int, begins: Begins | None) -> Iterator[Object]:
    slots = sorted(
        (slot for slot in plan.slots if slot.placeholder == (name == CARDS)), key=lambda slot: (slot.start, slot.frames)
    )
    for number, layer in enumerate(_layers(slots) or [[]], 1):
        title = name if number == 1 else f"{name} {number}"
        children = list(_children(layer, plan, first, begins))
        yield _item("Track.1", title) | {"kind": "Video", "children": children}


def _layers(slots: Sequence[PlannedSlot]) -> list[list[PlannedSlot]]:
    """Lay slots that overlap on different tracks; slots are sorted by their start."""
    layers: list[list[PlannedSlot]] = []
    for slot in slots:
        free = next((layer for layer in layers if layer[-1].start + layer[-1].frames <= slot.start), None)
        if free is None:
            layers.append([slot])
        else:
            free.append(slot)
    return layers


def _children(slots: Iterable[PlannedSlot], plan: Plan, first: int, begins: Begins | None) -> Iterator[Object]:
    at = first
    for slot in slots:
        if slot.start > at:
            yield _item("Gap.1", "", _range(0, slot.start - at, plan.exact_rate))
        yield _clip(slot, plan, begins)
        at = slot.start + slot.frames


def _clip(slot: PlannedSlot, plan: Plan, begins: Begins | None) -> Object:
    rate, media_start = plan.exact_rate, first_frame(slot, plan, begins)
    source = _range(media_start + plan.handles, slot.frames, rate)
    media = _schema("ExternalReference.1", slot.file) | {
        "available_range": _range(media_start, slot.frames + 2 * plan.handles, rate),
        "available_image_bounds": None,
        "target_url": quote(slot.file),
    }
    return _item("Clip.2", slot.wanted or slot.slot, source, own=_own(slot)) | {
        "markers": [_flag(flag, slot, media_start + plan.handles, rate) for flag in slot.flags],
        "media_references": {"DEFAULT_MEDIA": media},
        "active_media_reference_key": "DEFAULT_MEDIA",
    }


def _own(slot: PlannedSlot) -> Object:
    texts = {"wanted": slot.wanted, "caption": slot.caption, "credit": slot.credit, "note": slot.note}
    still = {"still": slot.still.file} if slot.still else {}
    return {"slot": slot.slot, "kind": slot.kind} | still | {name: text for name, text in texts.items() if text}


def _flag(flag: str, slot: PlannedSlot, frame: int, rate: Fraction) -> Object:
    return _schema("Marker.2", flag, own={"flag": slot.slot}) | {
        "color": _FLAG_COLOURS[slot.placeholder],
        "marked_range": _range(frame, 1, rate),
        "comment": flag,
    }


def _item(schema: str, name: str, source: Object | None = None, own: Object | None = None) -> Object:
    return _schema(schema, name, own) | {"source_range": source, "effects": [], "markers": [], "enabled": True}


def _schema(schema: str, name: str, own: Object | None = None) -> Object:
    return {"OTIO_SCHEMA": schema, "metadata": {"kenburns": own} if own else {}, "name": name}


def _range(start: int, length: int, rate: Fraction) -> Object:
    return {"OTIO_SCHEMA": "TimeRange.1", "duration": _time(length, rate), "start_time": _time(start, rate)}


def _time(frames: int, rate: Fraction) -> Object:
    return {"OTIO_SCHEMA": "RationalTime.1", "rate": float(rate), "value": float(frames)}
