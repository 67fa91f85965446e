"""What the camera sees: one rectangle for every frame of a slot."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..motion.geometry import Rect
from ..motion.path import shot_path
from ..motion.shutter import exposures
from .document import Plan, PlannedFrame, PlannedSlot


def slot_path(slot: PlannedSlot, frame: PlannedFrame) -> NDArray[np.float64]:
    """Return (frames, 4): x, y, width, height in source pixels for every frame of the clip, handles included.

    Every width and height is at least the frame's. Cards have no path: ValueError.
    """
    return np.concatenate(_shot_paths(slot, frame))


def _shot_paths(slot: PlannedSlot, frame: PlannedFrame) -> list[NDArray[np.float64]]:
    if slot.still is None:
        raise ValueError(f"slot '{slot.slot}' is a card; only clips have a path")
    still = slot.still.size
    return [shot_path(shot.shot(), still, frame.size) for shot in slot.shots]


def slot_exposures(slot: PlannedSlot, frame: PlannedFrame, shutter: float) -> list[tuple[Rect, ...]]:
    """Return for every frame of the clip the views whose mean it shows: one, or several while an open shutter moves.

    `shutter` is its angle in degrees. No exposure reaches across a cut within the slot. Cards have no path: ValueError.
    """
    return [
        tuple(Rect(*row) for row in views.tolist())
        for path in _shot_paths(slot, frame)
        for views in exposures(path, shutter, frame.size)
    ]


def smallest_scale(slot: PlannedSlot, plan: Plan) -> float | None:
    """Return the smallest number of source pixels a frame pixel, at least 1; None for a card."""
    if slot.still is None:
        return None
    path = slot_path(slot, plan.frame)
    return float(min((path[:, 2] / plan.frame.width).min(), (path[:, 3] / plan.frame.height).min()))
