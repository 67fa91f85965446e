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
from collections.abc import Iterator
from itertools import accumulate
from typing import Any

from ..motion.keyframes import Keyframe, reduce_to_keyframes
from ..motion.path import Shot, shot_path
from ..plan.document import Plan, PlannedSlot, PlannedStill

TOLERANCE_PX = 0.1


def keyframes_json(plan: Plan) -> str:
    """Return the text of keyframes.json for all clips of a plan."""
    document = {
        "version": 1,
        "frame": {"width": plan.frame.width, "height": plan.frame.height},
        "rate": plan.rate,
        "slots": [_slot(slot, slot.still, plan) for slot in plan.slots if slot.still is not None],
    }
    return json.dumps(document, indent=1, ensure_ascii=False) + "\n"


def _slot(slot: PlannedSlot, still: PlannedStill, plan: Plan) -> dict[str, Any]:
    return {
        "slot": slot.slot,
        "file": slot.file,
        "still": {"file": still.file, "width": still.width, "height": still.height},
        "shots": list(_shots([shot.shot() for shot in slot.shots], still, plan)),
    }


def _shots(shots: list[Shot], still: PlannedStill, plan: Plan) -> Iterator[dict[str, Any]]:
    for first, shot in zip(accumulate((shot.frames for shot in shots), initial=0), shots, strict=False):
        keyframes = reduce_to_keyframes(shot_path(shot, still.size, plan.frame.size), TOLERANCE_PX)
        yield {
            "kind": shot.kind,
            "first_frame": first,
            "frames": shot.frames,
            "keyframes": [_keyframe(keyframe) for keyframe in keyframes],
        }


def _keyframe(keyframe: Keyframe) -> dict[str, Any]:
    return {
        "frame": keyframe.frame,
        "x": keyframe.x,
        "y": keyframe.y,
        "width": keyframe.width,
        "height": keyframe.height,
        "easing": keyframe.easing,
    }
