"""The motion of one slot as the page plays it: from the very rectangles that render."""

from __future__ import annotations

from itertools import accumulate
from typing import Any

import numpy as np

from ..motion.path import speeds
from ..plan.views import slot_path, smallest_scale
from ..prepare import Prepared
from .state import edit_of, limit


def slot_motion(prepared: Prepared, index: int) -> dict[str, Any]:
    """Return a slot's views, one [x, y, width, height] a frame, handles included, and how fast they move.

    `cuts` are the frames at which a new shot starts; nothing moves across one, so the speed there is 0. A card has no
    views. IndexError for a slot that is not there.
    """
    plan = prepared.plan
    slot = plan.slots[index]
    if slot.still is None:
        return _motion([], [], [], plan.handles, None, None, card=True)
    path = slot_path(slot, plan.frame)
    cuts = list(accumulate(shot.frames for shot in slot.shots))[:-1]
    moved = speeds(path, plan.frame.size)
    moved[np.array(cuts, dtype=np.intp) - 1] = 0.0
    most = limit(prepared, edit_of(slot.slot, prepared).pacing)
    return _motion(path.tolist(), moved.tolist(), cuts, plan.handles, smallest_scale(slot, plan), most, card=False)


def _motion(
    frames: list[list[float]],
    moved: list[float],
    cuts: list[int],
    handles: int,
    scale: float | None,
    most: float | None,
    *,
    card: bool,
) -> dict[str, Any]:
    return {
        "frames": frames,
        "handles": handles,
        "scale": scale,
        "speeds": moved,
        "limit": most,
        "cuts": cuts,
        "card": card,
    }
