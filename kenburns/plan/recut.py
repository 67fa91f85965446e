"""A new cut against the plan of the one before: which slots are the same, and what became of each.

A recut moves nearly everything, changes the length of some, and takes away or adds a few. A slot is known again by its
id, unless its label has moved to another id, as it does where events are numbered anew.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from ..cutlist.slots import Slot
from ..values import one_form
from .document import Plan, PlannedSlot


@dataclass(frozen=True, slots=True)
class Recut:
    """Slots of the new plan by what became of them, in film order; `gone` names slots of the old one.

    moved: the same frames at another time; changed: another length, photograph, move or look; `retimed`: those of them
    with the same photograph and move, which are only timed anew. `renamed`: old ids of slots whose id is another now.
    """

    same: tuple[str, ...]
    moved: tuple[str, ...]
    retimed: tuple[str, ...]
    changed: tuple[str, ...]
    new: tuple[str, ...]
    gone: tuple[str, ...]
    renamed: Mapping[str, str]

    def as_json(self) -> dict[str, object]:
        """Return the summary as JSON has it."""
        return {
            "same": list(self.same),
            "moved": list(self.moved),
            "retimed": list(self.retimed),
            "changed": list(self.changed),
            "new": list(self.new),
            "gone": list(self.gone),
            "renamed": dict(self.renamed),
        }


def counterparts(before: Iterable[PlannedSlot], now: Sequence[Slot]) -> dict[str, PlannedSlot]:
    """Return for each slot of the new cut, by id, the slot of the old plan that it was, where it was one.

    First those that kept both id and label, then those whose label is found under another id (several of one label in
    their order in the film), then those that kept the id alone.
    """
    old = {one_form(slot.slot): slot for slot in before}
    found: dict[str, PlannedSlot] = {}

    def pair(slot: Slot, was: PlannedSlot) -> None:
        found[slot.id] = was
        del old[one_form(was.slot)]

    for slot in now:
        was = old.get(one_form(slot.id))
        if was is not None and _label(was.wanted) == _label(slot.label):
            pair(slot, was)
    by_label: dict[str, list[PlannedSlot]] = {}
    for was in sorted(old.values(), key=lambda was: was.start):
        by_label.setdefault(_label(was.wanted), []).append(was)
    for slot in sorted((slot for slot in now if slot.id not in found), key=lambda slot: slot.start):
        same = by_label.get(_label(slot.label), []) if slot.label else []
        if same:
            pair(slot, same.pop(0))
    for slot in now:
        was = old.get(one_form(slot.id)) if slot.id not in found else None
        if was is not None:
            pair(slot, was)
    return found


def _label(wanted: str) -> str:
    return " ".join(one_form(wanted).casefold().split())


def renamed(were: Mapping[str, PlannedSlot]) -> dict[str, str]:
    """Return the new ids of slots whose id is another now, by the old ones."""
    return {was.slot: slot for slot, was in were.items() if was.slot != slot}


def decided_moves(were: Mapping[str, PlannedSlot], stills: Mapping[str, str]) -> dict[str, str]:
    """Return the moves that slots keep: of those whose photograph (its file, by slot id in `stills`) is the same."""
    return {
        slot: was.move
        for slot, was in were.items()
        if was.move and was.still is not None and stills.get(slot) == was.still.file
    }


def recut(before: Plan, now: Plan, were: Mapping[str, PlannedSlot], due: Collection[str]) -> Recut:
    """Return what became of every slot; `due` are the slots of the new plan whose files have to be made."""
    known, to_make = {was.slot for was in were.values()}, frozenset(due)
    kinds: dict[str, list[str]] = {kind: [] for kind in ("same", "moved", "retimed", "changed", "new")}
    for slot in now.slots:
        kinds[_became(slot, were.get(slot.slot), slot.slot in to_make)].append(slot.slot)
    return Recut(
        **{kind: tuple(slots) for kind, slots in kinds.items()},
        gone=tuple(slot.slot for slot in before.slots if slot.slot not in known),
        renamed=renamed(were),
    )


def _became(slot: PlannedSlot, was: PlannedSlot | None, due: bool) -> str:
    if was is None:
        return "new"
    if not due:
        return "same" if (slot.start, slot.slot) == (was.start, was.slot) else "moved"
    still, old = slot.still, was.still
    kept = still is not None and old is not None and still.sha256 == old.sha256 and slot.move == was.move
    return "retimed" if kept and slot.frames != was.frames else "changed"
