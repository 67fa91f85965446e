"""The plan by which only some slots are rendered: they as they are set now, the others as they were last made."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace

from ..deliver.manifest import Manifest, fingerprint, is_current, read_manifest
from ..foresight import foresee
from ..plan.document import PlannedSlot
from ..plan.recut import renamed
from ..prepare import Prepared


def only(prepared: Prepared, chosen: Collection[str]) -> Prepared:
    """Return what makes the chosen slots alone: whatever else is due stays as it stands, or still to be made.

    A new cut in which slots have other ids is made as a whole, for files follow their slots all at once. Raises what
    `read_manifest` raises.
    """
    if renamed(prepared.were):
        return prepared
    slots = tuple(_slots(prepared, chosen, read_manifest(prepared.place.out)))
    return replace(prepared, plan=prepared.plan.model_copy(update={"slots": slots}))


def _slots(prepared: Prepared, chosen: Collection[str], manifest: Manifest) -> Iterator[PlannedSlot]:
    due = foresee(prepared).due
    for slot in prepared.plan.slots:
        was = prepared.were.get(slot.slot)
        if slot.slot in chosen or slot.slot not in due:
            yield slot
        elif was is not None and _stands(was, prepared, manifest):
            yield was.model_copy(update={"start": slot.start})


def _stands(was: PlannedSlot, prepared: Prepared, manifest: Manifest) -> bool:
    """Whether a slot's file is there as it was last planned."""
    entry = manifest.entry(was.slot)
    mark = fingerprint(was, prepared.plan, prepared.codec, prepared.look)
    return entry is not None and is_current(entry, was, mark, prepared.place.out)
