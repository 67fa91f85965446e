"""What film.toml calls slots and photographs, where a new cut has given slots other ids."""

from __future__ import annotations

from ..film_file import new_names
from ..plan.recut import renamed
from ..prepare import Prepared
from ..values import one_form
from .changes import Names


def film_names(prepared: Prepared) -> Names:
    """Return, by table, the name in film.toml for every slot and photograph of a film that may be set by hand.

    Until a new cut has been made, film.toml speaks of slots by the ids of the cut before. A slot whose id film.toml
    still uses for another has none: nothing can be set for it until then.
    """
    names = new_names(prepared.place.film.slots, renamed(prepared.were))
    old = {new: name for name, new in names.items()}

    def in_file(slot: str) -> str | None:
        name = one_form(slot)
        return old.get(name, None if name in names else slot)

    stills = (*prepared.material.photographs, *(refusal.name for refusal in prepared.refused))
    return {
        "slots": {slot.slot: in_file(slot.slot) for slot in prepared.plan.slots},
        "stills": {name: name for name in stills},
    }
