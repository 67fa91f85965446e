"""A new cut while a film is on the desk: what is set by hand follows its slots to their new ids.

Once a film has been made, film.toml speaks of slots by the ids of the plan in the out folder, until the new cut is made
too. One that has not been made yet is followed here: by the cut that the desk has seen last, kept in its own folder.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from ..cutlist.slots import Slot
from ..files import write_whole
from ..film_file import with_slots_renamed
from ..plan.document import PlannedSlot, write_plan
from ..plan.last import PLAN_FILE, last_plan
from ..plan.recut import counterparts, renamed
from ..prepare import Prepared
from .changes import Names
from .own_folder import NAME, own_folder


class LastCut:
    """The slots of a film that has not been made yet, as the desk has seen them last."""

    def __init__(self) -> None:
        self._out: Path | None = None
        self._slots: tuple[PlannedSlot, ...] = ()

    def followed(self, text: str, prepared: Prepared) -> str:
        """Return the text of film.toml with what was set by hand under the ids that slots have in a new cut."""
        if not _speaks_of_this_cut(prepared) or not prepared.place.film.slots:
            return text
        names = renamed(counterparts(self._seen(prepared.place.out), prepared.cut_list.slots))
        return with_slots_renamed(text, names) if names else text

    def see(self, prepared: Prepared) -> None:
        """Remember the slots of a film, for the next opening too."""
        if not _speaks_of_this_cut(prepared):
            return
        seen, self._slots = self._seen(prepared.place.out), prepared.plan.slots
        folder = own_folder(prepared.place.out) if _cut(seen) != _cut(self._slots) else None
        if folder is not None:
            write_whole(folder / PLAN_FILE, write_plan(prepared.plan).encode())

    def _seen(self, out: Path) -> tuple[PlannedSlot, ...]:
        if out != self._out:
            before = last_plan(out / NAME)
            self._out, self._slots = out, before.slots if before else ()
        return self._slots


def _speaks_of_this_cut(prepared: Prepared) -> bool:
    """Whether film.toml has the ids of the cut list as it is: nothing was made yet that says otherwise."""
    return prepared.earlier is None and prepared.place.cut_list is not None


def _cut(slots: Iterable[PlannedSlot]) -> tuple[tuple[str, str], ...]:
    return tuple((slot.slot, slot.wanted) for slot in slots)


def names_for(names: Names, shown: tuple[Slot, ...], now: tuple[Slot, ...]) -> Names:
    """Return the names that a page may use that shows the slots of an older cut: those of its own cut.

    A slot that is no longer in the film has none.
    """
    if shown == now:
        return names
    were = counterparts(map(_as_planned, shown), now)
    today = {was.slot: slot for slot, was in were.items()}
    slots: Mapping[str, str | None] = names["slots"]
    return {**names, "slots": {old: slots[new] for old, new in today.items()}}


def called_before(now: Mapping[str, str | None], then: Mapping[str, str | None]) -> dict[str, str]:
    """Return what an older film.toml calls slots, by what it calls them now, where that differs.

    `now` and `then` have both by what the page calls a slot.
    """
    both = ((name, then.get(slot)) for slot, name in now.items())
    return {name: before for name, before in both if name and before and name != before}


def _as_planned(slot: Slot) -> PlannedSlot:
    return PlannedSlot(slot=slot.id, file="", kind="card", start=slot.start, frames=slot.length, wanted=slot.wanted)
