"""What a run would make, and what a new cut has made of the slots of the last one; nothing is written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .deliver.manifest import ManifestEntry, fingerprint, is_current, read_manifest
from .plan.document import Plan, PlannedSlot
from .plan.recut import Recut, recut
from .prepare import Prepared


@dataclass(frozen=True, slots=True)
class Foresight:
    """A delivery's out folder and plan; the slots whose files would be made; `recut` where it was made before."""

    out: Path
    plan: Plan
    due: tuple[str, ...]
    recut: Recut | None

    def as_json(self) -> dict[str, Any]:
        """Return what `kenburns make --dry-run --json` prints for one delivery."""
        return {
            "out": str(self.out),
            "frame": self.plan.frame.model_dump(),
            "slots": len(self.plan.slots),
            "due": list(self.due),
            "recut": self.recut.as_json() if self.recut else None,
        }


def foresee(prepared: Prepared) -> Foresight:
    """Return what carrying out would make, given what stands in the out folder."""
    made = read_manifest(prepared.place.out).by_slot()
    due = tuple(slot.slot for slot in prepared.plan.slots if not _stands(slot, prepared, made))
    became = recut(prepared.earlier, prepared.plan, prepared.were, due) if prepared.earlier else None
    return Foresight(prepared.place.out, prepared.plan, due, became)


def _stands(slot: PlannedSlot, prepared: Prepared, made: Mapping[str, ManifestEntry]) -> bool:
    """Whether a slot's file stands as it would be made now, if under the name that its slot had before."""
    was = prepared.were.get(slot.slot)
    entry = made.get(was.slot if was else slot.slot)
    if entry is None or (prepared.earlier is not None and was is None):
        return False
    before = slot.model_copy(update={"file": entry.file})
    same_kind = Path(entry.file).suffix == Path(slot.file).suffix
    mark = fingerprint(slot, prepared.plan, prepared.codec, prepared.look)
    return same_kind and is_current(entry, before, mark, prepared.place.out)
