"""keyframes.json: the moves as few keyframes, for whoever makes them again by hand in a compositor.

::

    {"version": 1, "frame": {"width", "height"}, "rate": "25/1",
     "slots": [{"slot", "file", "still": {"file", "width", "height"},
                "shots": [{"kind", "first_frame", "frames",
                           "keyframes": [{"frame", "x", "y", "width", "height", "easing"}]}]}]}

`file` is the clip; `first_frame` is a shot's place in it, handles included, and `frame` is counted from there. x, y,
width and height are the view in pixels of the still, turned upright; it fills the frame. `easing` leads into the next
keyframe and is "hold", "linear" or "cubic-bezier(x1, y1, x2, y2)" as in W3C css-easing-1. Played so, every corner of
every view is within 0.1 px of the still from where it was rendered. Slots that are cards have no move and no entry.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from functools import partial
from itertools import accumulate
from typing import Any

from ..motion.geometry import Size
from ..motion.keyframes import Keyframe, reduce_to_keyframes
from ..motion.path import shot_path
from ..plan.document import Plan, PlannedShot, PlannedSlot, PlannedStill
from ..remembered import Remembered

TOLERANCE_PX = 0.1


Known = Remembered[tuple[Keyframe, ...]]
"""Keyframes by the shots that they are of."""


def keyframes_json(plan: Plan, known: Known | None = None) -> str:
    """Return the text of keyframes.json for all clips of a plan; those that are `known` are not worked out anew."""
    memory = known or Remembered()
    document = {
        "version": 1,
        "frame": {"width": plan.frame.width, "height": plan.frame.height},
        "rate": plan.rate,
        "slots": [_slot(slot, slot.still, plan, memory) for slot in plan.slots if slot.still is not None],
    }
    return json.dumps(document, indent=1, ensure_ascii=False) + "\n"


def _slot(slot: PlannedSlot, still: PlannedStill, plan: Plan, known: Known) -> dict[str, Any]:
    return {
        "slot": slot.slot,
        "file": slot.file,
        "still": {"file": still.file, "width": still.width, "height": still.height},
        "shots": list(_shots(slot.shots, still.size, plan.frame.size, known)),
    }


def _shots(shots: Sequence[PlannedShot], still: Size, frame: Size, known: Known) -> Iterator[dict[str, Any]]:
    for first, shot in zip(accumulate((shot.frames for shot in shots), initial=0), shots, strict=False):
        asked = shot.model_dump_json(exclude={"notes"}), still, frame, TOLERANCE_PX
        keyframes = known.of(asked, partial(_keyframes, shot, still, frame))
        yield {
            "kind": shot.kind,
            "first_frame": first,
            "frames": shot.frames,
            "keyframes": [_keyframe(keyframe) for keyframe in keyframes],
        }


def _keyframes(shot: PlannedShot, still: Size, frame: Size) -> tuple[Keyframe, ...]:
    return reduce_to_keyframes(shot_path(shot.shot(), still, frame), TOLERANCE_PX)


def _keyframe(keyframe: Keyframe) -> dict[str, Any]:
    return {
        "frame": keyframe.frame,
        "x": keyframe.x,
        "y": keyframe.y,
        "width": keyframe.width,
        "height": keyframe.height,
        "easing": keyframe.easing,
    }
