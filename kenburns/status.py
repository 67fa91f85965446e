"""How far a film's stills are: what is finished, and what each slot still waits for, on one screen."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from .foresight import foresee
from .notes.laying import Laid
from .prepare import Prepared

_NAMED = 12  # slots named in one line
_LONGEST = 24  # characters of a slot's name in it


@dataclass(frozen=True, slots=True)
class DeliveryStatus:
    """One delivery: its name ("" the main one), frame in words, and the slots whose files do not stand as planned."""

    name: str
    frame: str
    due: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Status:
    """Slots of a film by what is to be said of them, each in film order; one may be in several.

    finished: a clip or card of words that stands as planned; placeholder: a card until there is a picture; due: to be
    made or made again; flagged: not a placeholder, and something to look at. `unnamed` and `uncleared` are None where
    that is not recorded. Notes are counted; those without a slot are `unplaced`.
    """

    film: str
    slots: tuple[str, ...]
    finished: tuple[str, ...]
    placeholder: tuple[str, ...]
    due: tuple[str, ...]
    flagged: tuple[str, ...]
    unnamed: tuple[str, ...] | None
    uncleared: tuple[str, ...] | None
    noted: tuple[str, ...]
    notes: int
    open_notes: int
    unplaced: int
    others: tuple[DeliveryStatus, ...] = ()

    @property
    def ready(self) -> tuple[str, ...]:
        """The finished slots that nothing is left to do for."""
        waiting = {*self.flagged, *(self.unnamed or ()), *(self.uncleared or ()), *self.noted}
        return tuple(slot for slot in self.finished if slot not in waiting)

    @property
    def needs_attention(self) -> bool:
        """Whether anything is left to do."""
        return len(self.ready) < len(self.slots) or self.unplaced > 0 or any(other.due for other in self.others)

    def as_json(self) -> dict[str, Any]:
        """Return what `kenburns status --json` prints."""
        sets = ("ready", "finished", "placeholder", "due", "flagged", "unnamed", "uncleared")
        return {
            "film": self.film,
            "slots": list(self.slots),
            **{name: _listed(getattr(self, name)) for name in sets},
            "with_open_notes": list(self.noted),
            "notes": {"all": self.notes, "open": self.open_notes, "unplaced": self.unplaced},
            "deliveries": [{"name": other.name, "frame": other.frame, "due": list(other.due)} for other in self.others],
            "needs_attention": self.needs_attention,
        }


def status(
    prepared: Sequence[Prepared],
    laid: Laid | None = None,
    *,
    unnamed: Collection[str] | None = None,
    uncleared: Collection[str] | None = None,
) -> Status:
    """Return how far a film is, in its deliveries (the main one first) and by what stands in their out folders.

    `laid` are notes on the plan as it is now; `unnamed` and `uncleared` are slots whose picture has nobody to name, or
    no permission on record. OptionError where an out folder holds a manifest that is none of ours; ValueError for no
    delivery.
    """
    if not prepared:
        raise ValueError("a status is that of at least one delivery, the main one")
    main, *others = prepared
    plan, due = main.plan, frozenset(foresee(main).due)
    slots = tuple(slot.slot for slot in plan.slots)
    noted = frozenset(laid.slots_with_open if laid else ())
    notes = laid.notes if laid else ()
    return Status(
        film=plan.title,
        slots=slots,
        finished=tuple(slot.slot for slot in plan.slots if not slot.placeholder and slot.slot not in due),
        placeholder=tuple(slot.slot for slot in plan.slots if slot.placeholder),
        due=tuple(slot for slot in slots if slot in due),
        flagged=tuple(slot.slot for slot in plan.slots if not slot.placeholder and slot.flags),
        unnamed=_of(slots, unnamed),
        uncleared=_of(slots, uncleared),
        noted=tuple(slot for slot in slots if slot in noted),
        notes=len(notes),
        open_notes=sum(not note.done for note in notes),
        unplaced=sum(not note.done and not note.places for note in notes),
        others=tuple(_other(other) for other in others),
    )


def status_lines(status: Status) -> tuple[str, ...]:
    """Return the status in words, a line for each count, that fit on one screen of 100 columns."""
    whole = len(status.slots)
    return (
        f"{status.film}: {len(status.ready)} of {whole} slot{'s' * (whole != 1)} ready",
        *(_line(name, slots) for name, slots in _counts(status)),
        *_notes(status),
        *(
            f"{other.name} ({other.frame}): {whole - len(other.due)} of {whole} made{_names(other.due, ', to make ')}"
            for other in status.others
        ),
    )


def _other(prepared: Prepared) -> DeliveryStatus:
    return DeliveryStatus(prepared.place.out.name, str(prepared.plan.frame.size), foresee(prepared).due)


def _of(slots: Sequence[str], named: Collection[str] | None) -> tuple[str, ...] | None:
    return None if named is None else tuple(slot for slot in slots if slot in named)


def _listed(slots: tuple[str, ...] | None) -> list[str] | None:
    return None if slots is None else list(slots)


def _counts(status: Status) -> Iterator[tuple[str, tuple[str, ...] | None]]:
    yield "finished", status.finished
    yield "placeholder", status.placeholder
    yield "to make", status.due
    yield "flagged", status.flagged
    yield "nobody named", status.unnamed
    yield "not cleared", status.uncleared
    yield "open notes on", status.noted


def _line(name: str, slots: tuple[str, ...] | None) -> str:
    if slots is None:
        return f"  {name:<14}   –  not recorded"
    named = _names(slots, "  ") if name != "finished" else ""
    return f"  {name:<14}{len(slots):>4}{named}"


def _names(slots: Sequence[str], before: str) -> str:
    """Return as many names as one line holds, and how many more there are."""
    shown, room = [], 70
    for slot in slots[:_NAMED]:
        name = slot if len(slot) <= _LONGEST else f"{slot[: _LONGEST - 1]}…"
        room -= len(name) + 2
        if room < 0:
            break
        shown.append(name)
    more = len(slots) - len(shown)
    return (before if shown else "") + ", ".join(shown) + (f" and {more} more" if more else "")


def _notes(status: Status) -> Iterator[str]:
    if status.notes:
        beside = f", {status.unplaced} on no slot" if status.unplaced else ""
        yield f"  {status.open_notes} of {status.notes} notes open{beside}"
