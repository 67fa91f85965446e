"""Who is to be named for the photographs of a plan, and whose permission is still to be recorded."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from .cutlist.works import WorksList
from .deliver.credit_text import credit_flags
from .deliver.credits import Credits, Order, film_credits
from .errors import PhotographError
from .plan.document import Plan
from .stills.credits import PhotographCredits, read_credits
from .stills.open import Photograph


@dataclass(frozen=True, slots=True)
class KnownCredits:
    """What is known of who made and owns a film's photographs: their metadata, and the works list."""

    photographs: Mapping[str, Photograph]
    works: WorksList

    def of(self, plan: Plan, order: Order = "appearance") -> Credits:
        """Return the credits of the photographs that a plan shows."""
        shown = {slot.photograph.file for slot in plan.slots if slot.photograph}
        return film_credits(plan, self.works.works, self.in_files(shown), order)

    @property
    def records_permission(self) -> bool:
        """Whether the works list has a column for permissions; without one they are recorded elsewhere."""
        return "permission" in self.works.columns

    def in_files(self, names: Iterable[str]) -> dict[str, PhotographCredits]:
        """Return what the metadata of these photographs says, of those that are there."""
        return {name: _known(self.photographs[name]) for name in names if name in self.photographs}

    def with_rights(self, plan: Plan) -> Plan:
        """Return the plan with what is to be seen to at each slot.

        Permission is asked after only where the works list has a column for it: without one it is recorded elsewhere,
        and a mark at every slot would say nothing.
        """
        flags = credit_flags(self.of(plan), permissions=self.records_permission)
        slots = (slot.model_copy(update={"rights": flags.get(slot.slot, ())}) for slot in plan.slots)
        return plan.model_copy(update={"slots": tuple(slots)})


@lru_cache(maxsize=4096)
def _known(photograph: Photograph) -> PhotographCredits:
    """Read a photograph's metadata once for its content; where it can no longer be read, nothing is known."""
    try:
        return read_credits(photograph)
    except PhotographError:
        return PhotographCredits()
