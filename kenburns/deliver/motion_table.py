"""paths/<slot>.csv: the view at every frame of a clip, for whoever works with the move elsewhere."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ..plan.document import Plan, PlannedSlot
from ..plan.views import slot_path
from ..remembered import Remembered
from .beside import Beside, Content

PATHS = Beside("paths", ".csv")
HEADER = "frame,x,y,width,height"


def motion_table(path: NDArray[np.float64]) -> str:
    """Return the table of a path (frames, 4) in source pixels; each float reads back to the very same value."""
    rows = (",".join([str(frame), *map(repr, row)]) for frame, row in enumerate(path.tolist()))
    return "\n".join([HEADER, *rows, ""])


def write_motion_tables(
    plan: Plan, out: Path, owned: Collection[str], known: Remembered[str] | None = None
) -> tuple[Path, ...]:
    """Write the table of every clip of the plan; of those of other slots, what is `owned` is removed."""
    files = ((slot.slot, _content(slot, plan)) for slot in plan.slots)
    return PATHS.write(files, out, owned, known or Remembered())


def _content(slot: PlannedSlot, plan: Plan) -> Content | None:
    if slot.still is None:
        return None
    shots = [shot.model_dump_json(exclude={"notes"}) for shot in slot.shots]
    made_from = slot.still.size, plan.frame.size, shots
    return Content(made_from, lambda: motion_table(slot_path(slot, plan.frame)).encode())
