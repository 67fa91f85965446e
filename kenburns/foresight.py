"""What a run would make, and what a new cut has made of the slots of the last one; nothing is written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .deliver.manifest import ManifestEntry, fingerprint, lies_whole, read_manifest
from .deliver.moving import as_brought_to_end
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
    """Return what carrying out would make, given what stands in the out folder.

    Where a run was killed while files followed their slots, that is what will stand when they have all arrived.
    """
    out = prepared.place.out
    manifest, elsewhere = as_brought_to_end(read_manifest(out), out)
    made = manifest.by_slot()
    due = tuple(slot.slot for slot in prepared.plan.slots if not _stands(slot, prepared, made, elsewhere))
    became = recut(prepared.earlier, prepared.plan, prepared.were, due) if prepared.earlier else None
    return Foresight(out, prepared.plan, due, became)


def _stands(
    slot: PlannedSlot, prepared: Prepared, made: Mapping[str, ManifestEntry], elsewhere: Mapping[str, Path]
) -> bool:
    """Whether a slot's file stands as it would be made now, if under the name that its slot had before."""
    was = prepared.were.get(slot.slot)
    entry = made.get(was.slot if was else slot.slot)
    if entry is None or (prepared.earlier is not None and was is None):
        return False
    same_kind = Path(entry.file).suffix == Path(slot.file).suffix
    mark = fingerprint(slot, prepared.plan, prepared.codec, prepared.look)
    place = elsewhere.get(entry.file, prepared.place.out / entry.file)
    return same_kind and entry.fingerprint == mark and lies_whole(entry, place)
