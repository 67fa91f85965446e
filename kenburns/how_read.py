"""How the lists and the film file were read, where that is not plain, and what in them nothing came of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from .cutlist.match import Match
from .cutlist.slots import CutList
from .cutlist.works import WorksList
from .film import Film
from .film_place import FilmPlace
from .motion.geometry import Size
from .plan.material import Material
from .toml_file import key_text
from .values import one_form


def list_problems(slots: CutList, works: WorksList) -> tuple[str, ...]:
    """Return what is wrong with rows and cells of the lists."""
    listed = (("cut list", slots.problems), ("works list", works.problems))
    return tuple(f"{name}, {problem}" for name, problems in listed for problem in problems)


def list_remarks(slots: CutList, works: WorksList) -> Iterator[str]:
    """Yield how the columns of the lists were read, and what else is in the cut list and no slot."""
    yield from _columns("cut list", slots.columns, slots.ignored)
    yield from _columns("works list", works.columns, works.ignored)
    yield from (f"cut list, {skipped}" for skipped in slots.skipped)


def meant_for_nobody(place: FilmPlace, film: Film, slots: CutList, photographs: Iterable[str]) -> Iterator[str]:
    """Name what was set by hand for slots and photographs that are not there: a slip of the hand, or a recut."""
    file = place.file.name if place.file else ""
    ids, names = {one_form(slot.id) for slot in slots.slots}, {one_form(name) for name in photographs}
    for slot in film.slots:
        if slot not in ids:
            yield f"'{file}', {key_text(('slots', slot), table=True)}: no slot has that name"
    for still in film.stills:
        if still not in names:
            yield f"'{file}', {key_text(('stills', still), table=True)}: no photograph has that name"


def soft_ones(material: Material, frame: Size, matches: Sequence[Match]) -> Iterator[str]:
    """Warn of photographs in the film whose pixels hold less than they promise."""
    for name in dict.fromkeys(match.file for match in matches if match.file and match.certain):
        warning = material.softness(name, frame)
        if warning:
            yield f"'{name}' is {warning}"


def _columns(name: str, columns: Mapping[str, str], ignored: Iterable[str]) -> Iterator[str]:
    """Say which headers were read as something that they do not plainly say, and which were not used."""
    for column, header in columns.items():
        if _letters(header) != _letters(column):
            yield f"{name}: column '{header}' is read as {column.replace('_', ' ')}"
    yield from (f"{name}: column '{header}' is not used" for header in ignored)


def _letters(name: str) -> str:
    return "".join(letter for letter in name.casefold() if letter.isalnum())
