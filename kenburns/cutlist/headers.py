"""Header names -> our columns, whatever the sheet calls them.

Case, accents, spaces and punctuation do not count, camel case is split, a unit in the header ("length (s)", "start
frames", "TC in") is taken off and kept.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from .folding import fold

Vocabulary = Mapping[str, tuple[str, ...]]  # our column -> its names, the best first

_Names = Mapping[str, tuple[str, int]]  # a name without spaces -> our column, and how far down its names it stands

_JOINED = {"tcin": "tc in", "tcout": "tc out", "intc": "in tc", "outtc": "out tc"}


@dataclass(frozen=True, slots=True)
class Units:
    """Columns whose headers may name a unit, and the words for it -> the unit ("" for words that only describe)."""

    columns: frozenset[str]
    words: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Header:
    """Which cell of a row is which column.

    places maps our columns to cell numbers from 0, columns to the headers as found, units to the unit the header
    names ("" for none); ignored are the headers that name no column of ours, or one already taken; width is
    the number of cells up to the last header.
    """

    places: dict[str, int]
    columns: dict[str, str]
    units: dict[str, str]
    ignored: tuple[str, ...]
    width: int


@dataclass(frozen=True, slots=True)
class _Reading:
    column: str
    rank: int  # 0 is the column's best name
    unit: str


def read_header(cells: Sequence[str], vocabulary: Vocabulary, units: Units) -> Header:
    """Match header cells with a vocabulary.

    Where two headers name one column, the one nearer the column's own name is taken, then the left one.
    """
    names = _joined_names(vocabulary)
    readings = [_read(cell, names, units) if cell.strip() else None for cell in cells]
    places: dict[str, int] = {}
    for place, found in enumerate(readings):
        if found and (found.column not in places or found.rank < _rank(readings, places[found.column])):
            places[found.column] = place
    taken = set(places.values())
    return Header(
        places,
        {column: cells[place].strip() for column, place in places.items()},
        {column: _unit(readings, place) for column, place in places.items()},
        tuple(cell.strip() for place, cell in enumerate(cells) if cell.strip() and place not in taken),
        max((place + 1 for place, cell in enumerate(cells) if cell.strip()), default=0),
    )


def header_words(cell: str) -> tuple[str, ...]:
    """Return the folded words of a header cell: "StartTC" -> start, tc; "N° / Länge" -> no, lange."""
    split = re.sub(r"(?<=[a-z])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])", " ", cell)
    text = fold(re.sub(r"#|n[°º]", " no ", split, flags=re.IGNORECASE))
    return tuple(" ".join(_JOINED.get(word, word) for word in re.findall(r"[^\W_]+", text)).split())


def _joined_names(vocabulary: Vocabulary) -> _Names:
    ranked = ((rank, column, name) for column, names in vocabulary.items() for rank, name in enumerate(names))
    best = sorted(ranked, reverse=True)  # so that of two columns with one name the better rank is written last
    return {name.replace(" ", ""): (column, rank) for rank, column, name in best}


def _read(cell: str, names: _Names, units: Units) -> _Reading | None:
    words = header_words(cell)
    plain = names.get("".join(words))
    if plain:
        return _Reading(*plain, unit=units.words.get(words[0], "") if len(words) == 1 else "")
    rest, unit = _without_units(words, units)
    found = names.get("".join(rest)) if rest != words else None
    return _Reading(*found, unit=unit) if found and found[0] in units.columns else None


def _without_units(words: tuple[str, ...], units: Units) -> tuple[tuple[str, ...], str]:
    if len(words) > 2 and words[-2] == "in" and words[-1] in units.words:  # "length in frames"
        words = (*words[:-2], words[-1])
    first, last = 0, len(words)
    while first < last - 1 and words[last - 1] in units.words:
        last -= 1
    while first < last - 1 and words[first] in units.words:
        first += 1
    named = {units.words[word] for word in (*words[:first], *words[last:])} - {""}
    return words[first:last], named.pop() if len(named) == 1 else ""


def _rank(readings: Sequence[_Reading | None], place: int) -> int:
    found = readings[place]
    return found.rank if found else 0


def _unit(readings: Sequence[_Reading | None], place: int) -> str:
    found = readings[place]
    return found.unit if found else ""
