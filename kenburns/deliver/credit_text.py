"""A film's credits in words: the lines of a credit screen, what to see to, and where everything came from."""

from __future__ import annotations

from collections.abc import Iterator

from .credit_lines import COURTESY, WORKS_BY
from .credits import NOTICE, Credits, StillCredits

_RUN_ON = frozenset({WORKS_BY, COURTESY})  # headings that the names go on from: "Courtesy of A; B"


def credits_text(film: Credits) -> str:
    """Return one line a heading ("Photographs: A; B", "Courtesy of C"), and below them the notice."""
    lines = [f"{heading}{'' if heading in _RUN_ON else ':'} {'; '.join(names)}" for heading, names in film.groups]
    return "\n".join([*lines, *[""] * bool(lines), NOTICE, ""])


def credit_flags(film: Credits, *, permissions: bool = True) -> dict[str, tuple[str, ...]]:
    """Return what a person must see to, by slot; without `permissions` only where there is nobody to name."""
    flags: dict[str, tuple[str, ...]] = {}
    for still in film.stills:
        for slot in still.slots:
            found = tuple(_flags(still, slot, film, permissions=permissions))
            if found:
                flags[slot] = found
    return flags


def _flags(still: StillCredits, slot: str, film: Credits, *, permissions: bool) -> Iterator[str]:
    if slot in film.unnamed:
        yield f"nobody to name for '{still.file}': add its photographer or credit line to the works list"
    if permissions and slot in film.uncleared:
        recorded = f"recorded as {still.permission}" if still.permission else "not recorded"
        yield f"permission to show '{still.file}' is {recorded}: write 'given' in the works list once it is"


def credits_report(film: Credits) -> str:
    """Return for each photograph of the film who must be named, where that stands, and what is in doubt."""
    parts = ["\n".join(_about(still, film)) for still in film.stills]
    return "\n\n".join([*parts, NOTICE]) + "\n"


def _about(still: StillCredits, film: Credits) -> Iterator[str]:
    yield f"{still.file} (slot {', '.join(still.slots)}); permission: {still.permission or 'not recorded'}"
    yield from (f"  {field}: {value.text} ({value.where})" for field, value in still.credits.values().items())
    yield from (f"  ! {conflict}" for conflict in still.credits.conflicts)
    yield from (f"  ! {fault}" for fault in still.credits.faults)
    if set(still.slots) & set(film.unnamed):
        yield "  ! nobody to name"
