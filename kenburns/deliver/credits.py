"""Who must be named for a film: from the stills that it really uses, and what is known of each.

On top stands what a person wrote: a slot's own credit, then the works list; then the photograph's metadata. Each value
keeps the place that it came from. A checklist and not legal advice: see NOTICE.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

from ..cutlist.files import FileNames
from ..cutlist.folding import fold
from ..cutlist.match import SURE
from ..cutlist.permission import ASKED, GIVEN, REFUSED
from ..cutlist.search import Search
from ..cutlist.works import Work
from ..plan.document import Plan, PlannedSlot
from ..stills.credits import PhotographCredits, Value, with_value
from .credit_lines import COPYRIGHT, HEADINGS, LINES, Named, bare_name, has_name, name_key, named

NOTICE = "This is a checklist and not legal advice: the rights holder, the collecting society and local law decide."

Order = Literal["appearance", "alphabetical"]

_WORKS_LIST = "the works list goes before the file's metadata"
_SLOT = "a slot's own credit goes before all other"


@dataclass(frozen=True, slots=True)
class StillCredits:
    """A photograph that the film shows: in which slots, who must be named, and whether permission is recorded.

    `works` are those that the photograph shows, by the works list; `permission` is GIVEN only where it is for each.
    """

    file: str
    slots: tuple[str, ...]
    credits: PhotographCredits
    works: tuple[Work, ...]
    permission: str

    def as_json(self) -> dict[str, Any]:
        """Return the same as a plain document."""
        values = self.credits.values()
        return {
            "file": self.file,
            "slots": list(self.slots),
            "permission": self.permission,
            "said": {field: {"texts": list(value.texts), "where": value.where} for field, value in values.items()},
            "conflicts": [str(conflict) for conflict in self.credits.conflicts],
            "faults": list(self.credits.faults),
        }


@dataclass(frozen=True, slots=True)
class Credits:
    """A film's credits: headings with their names, each name once; and the slots that a person must see to.

    `unnamed`: nobody is known to be named; `uncleared`: permission is not recorded as given. Both in film order.
    """

    groups: tuple[tuple[str, tuple[str, ...]], ...]
    unnamed: tuple[str, ...]
    uncleared: tuple[str, ...]
    stills: tuple[StillCredits, ...]

    def as_json(self) -> dict[str, Any]:
        """Return the same as a plain document."""
        return {
            "notice": NOTICE,
            "groups": [{"heading": heading, "names": list(names)} for heading, names in self.groups],
            "unnamed": list(self.unnamed),
            "uncleared": list(self.uncleared),
            "photographs": [still.as_json() for still in self.stills],
        }


def film_credits(
    plan: Plan,
    works: Sequence[Work],
    credits_by_file: Mapping[str, PhotographCredits],
    order: Order = "appearance",
) -> Credits:
    """Return the credits of the stills in a plan.

    `credits_by_file`: what each photograph's metadata says, by the name that the plan has for it; photographs that the
    film does not use do no harm. ValueError for another order.
    """
    if order not in ("appearance", "alphabetical"):
        raise ValueError(f"credits come in order of 'appearance' or 'alphabetical', not '{order}'")
    shown = _slots_by_file(plan)
    owned = works_by_file([*dict.fromkeys([*shown, *credits_by_file])], works)
    stills = tuple(
        _still(file, slots, owned.get(file, ()), credits_by_file.get(file, PhotographCredits()))
        for file, slots in shown.items()
    )
    return Credits(
        groups=_grouped((entry for still in stills for entry in named(still.credits)), order),
        unnamed=_in_film_order(plan, (still for still in stills if not has_name(still.credits))),
        uncleared=_in_film_order(plan, (still for still in stills if still.permission != GIVEN)),
        stills=stills,
    )


def works_by_file(files: Sequence[str], works: Sequence[Work]) -> dict[str, tuple[Work, ...]]:
    """Return the works that each photograph shows: the work names the file, or else its title or number surely does."""
    return _works_by_file(tuple(sorted(set(files))), tuple(works))


@lru_cache(maxsize=8)
def _works_by_file(files: tuple[str, ...], works: tuple[Work, ...]) -> dict[str, tuple[Work, ...]]:
    # Kept, as a thousand titles take seconds to find and a film is planned again at every change on the desk.
    names, search = FileNames(files), Search(files, works)
    found: dict[str, list[Work]] = defaultdict(list)
    for work in works:
        for file in names.find(work.file) if work.file else _meant(search, work.title or work.number):
            found[file].append(work)
    return {file: tuple(held) for file, held in found.items()}


def _meant(search: Search, text: str) -> Iterator[str]:
    return (finding.file for finding in search.find(text) if finding.score >= SURE)


def _slots_by_file(plan: Plan) -> dict[str, list[PlannedSlot]]:
    """Return the slots that show each photograph, in the order in which the photographs appear."""
    shown: dict[str, list[PlannedSlot]] = defaultdict(list)
    for slot in sorted(plan.slots, key=lambda slot: slot.start):
        if slot.photograph is not None:
            shown[slot.photograph.file].append(slot)
    return shown


def _still(
    file: str, slots: Sequence[PlannedSlot], works: tuple[Work, ...], in_file: PhotographCredits
) -> StillCredits:
    known = in_file
    for field, texts in (("creator", [work.photographer for work in works]), ("credit_line", _credits(works))):
        if any(texts):
            known = with_value(known, field, Value(_once(texts), _where(works)), _WORKS_LIST)
    own = [slot for slot in slots if slot.credit.strip()]
    if own:
        where = f"slot {', '.join(slot.slot for slot in own)} of the cut list or film.toml"
        known = with_value(known, "credit_line", Value(_once(slot.credit for slot in own), where), _SLOT)
    return StillCredits(file, tuple(slot.slot for slot in slots), known, works, _permission(works))


def _credits(works: Iterable[Work]) -> list[str]:
    return [work.credit for work in works]


def _once(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(text.strip() for text in texts if text.strip()))


def _where(works: Sequence[Work]) -> str:
    lines = [str(work.line) for work in works if work.line]
    return f"works list, line {', '.join(lines)}" if lines else "works list"


def _permission(works: Sequence[Work]) -> str:
    """Return the least that is recorded for any of the works; "" where there is none."""
    held = {work.permission for work in works}
    return next((word for word in (REFUSED, "", ASKED, GIVEN) if word in held), "")


def _in_film_order(plan: Plan, stills: Iterable[StillCredits]) -> tuple[str, ...]:
    wanted = {slot for still in stills for slot in still.slots}
    return tuple(slot.slot for slot in sorted(plan.slots, key=lambda slot: slot.start) if slot.slot in wanted)


def _grouped(entries: Iterable[Named], order: Order) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return the names under each heading, the first spelling of each; headings without names are left out."""
    spelled: dict[str, dict[str, str]] = {heading: {} for heading in HEADINGS}
    for heading, name in entries:
        spelled[heading].setdefault(name_key(name), name)
    people = {key for heading, names in spelled.items() if heading not in (LINES, COPYRIGHT) for key in names}
    lines = {key: name for key, name in spelled[LINES].items() if key not in people}
    told = people | lines.keys()
    notices = {key: name for key, name in spelled[COPYRIGHT].items() if bare_name(name) not in told}
    kept = {**spelled, LINES: lines, COPYRIGHT: notices}
    return tuple((heading, _ordered(names.values(), order)) for heading, names in kept.items() if names)


def _ordered(names: Iterable[str], order: Order) -> tuple[str, ...]:
    return tuple(sorted(names, key=fold)) if order == "alphabetical" else tuple(names)
