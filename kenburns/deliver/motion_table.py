"""paths/<slot>.csv: the view at every frame of a clip, for whoever works with the move elsewhere."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ..plan.document import Plan, PlannedSlot
from ..plan.views import slot_path
from .beside import Beside

PATHS = Beside("paths", ".csv")
HEADER = "frame,x,y,width,height"


def motion_table(path: NDArray[np.float64]) -> str:
    """Return the table of a path (frames, 4) in source pixels; each float reads back to the very same value."""
    rows = (",".join([str(frame), *map(repr, row)]) for frame, row in enumerate(path.tolist()))
    return "\n".join([HEADER, *rows, ""])


def write_motion_tables(plan: Plan, out: Path, owned: Collection[str]) -> tuple[Path, ...]:
    """Write the table of every clip of the plan; of those of other slots, what is `owned` is removed."""
    return PATHS.write(((slot.slot, _content(slot, plan)) for slot in plan.slots), out, owned)


def _content(slot: PlannedSlot, plan: Plan) -> bytes | None:
    return None if slot.still is None else motion_table(slot_path(slot, plan.frame)).encode()
