"""paths/<slot>.csv: the view at every frame of a clip, for whoever works with the move elsewhere."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ..cutlist.ids import file_stem
from ..files import write_whole
from ..plan.document import Plan, PlannedSlot
from ..plan.views import slot_path

PATHS_FOLDER = "paths"
HEADER = "frame,x,y,width,height"


def motion_table(path: NDArray[np.float64]) -> str:
    """Return the table of a path (frames, 4) in source pixels; each float reads back to the very same value."""
    rows = (",".join([str(frame), *map(repr, row)]) for frame, row in enumerate(path.tolist()))
    return "\n".join([HEADER, *rows, ""])


def table_name(slot: PlannedSlot) -> str:
    """Return the name of a slot's table in the folder of tables."""
    return f"{file_stem(slot.slot)}.csv"


def write_motion_tables(plan: Plan, folder: Path) -> tuple[Path, ...]:
    """Write the table of every clip of the plan into `folder`; those of slots that are cards by now are removed."""
    folder.mkdir(exist_ok=True)
    written = []
    for slot in plan.slots:
        file = folder / table_name(slot)
        if slot.still is None:
            file.unlink(missing_ok=True)
            continue
        write_whole(file, motion_table(slot_path(slot, plan.frame)).encode())
        written.append(file)
    return tuple(written)
