"""What a plan has to say to a person: what needs attention at its slots, and what is merely worth knowing."""

from __future__ import annotations

from typing import Literal

from .deliver.credits import NOTICE
from .plan.document import Plan


def flags_of(plan: Plan) -> tuple[str, ...]:
    """Return what needs attention, each thing once with all the slots it is said of."""
    return _by_slots(plan, "flags")


def remarks_of(plan: Plan) -> tuple[str, ...]:
    """Return what is worth knowing of shots and words, and whose rights are to be seen to."""
    notes = (
        f"slot '{slot.slot}': {note}"
        for slot in plan.slots
        for part in (*slot.shots, slot.words)
        if part
        for note in part.notes
    )
    return (*notes, *_rights(plan))


def _rights(plan: Plan) -> tuple[str, ...]:
    """Return who is to be named or asked still, and that this is a checklist: nothing that keeps a clip back."""
    told = _by_slots(plan, "rights")
    return (*told, NOTICE) if told else ()


def _by_slots(plan: Plan, said: Literal["flags", "rights"]) -> tuple[str, ...]:
    """Return each thing that is said of slots once, with all of them."""
    slots_of: dict[str, list[str]] = {}
    for slot in plan.slots:
        for text in getattr(slot, said):
            slots_of.setdefault(text, []).append(slot.slot)
    return tuple(f"{_named(slots)}: {text}" for text, slots in slots_of.items())


def _named(slots: list[str]) -> str:
    """Return "slot '1'", or "slots '1', '2'"."""
    names = ", ".join(f"'{slot}'" for slot in slots)
    return f"slot {names}" if len(slots) == 1 else f"slots {names}"
