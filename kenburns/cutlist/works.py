"""The works list: what works are called and measure, who photographed them, in which file, and who has agreed."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from ..errors import ListError
from .dimensions import read_extent, read_size
from .headers import Header, Units
from .ids import id_key
from .permission import read_permission
from .rows import Form, Row, Sheet, read_sheet
from .slots import Problem, shown

T = TypeVar("T")

# Synonyms are common practice in works lists and catalogues; the first name of each is our own.
_NAMES = {
    "number": (
        *("number", "no", "nr", "num", "n", "catalogue number", "catalogue no", "cat no", "cat", "catalog number"),
        *("work number", "work no", "inventory number", "inventory no", "inv no", "inv", "id", "nummer", "numero"),
    ),
    "title": ("title", "work", "name", "work title", "artwork", "titel", "titre", "titolo", "titulo"),
    "other_names": (
        *("other names", "other name", "also known as", "aka", "other titles", "other title", "alternative title"),
        *("alternative titles", "translated title", "english title", "original title", "former title"),
    ),
    "year": ("year", "date", "dated", "made", "jahr", "annee", "anno"),
    "medium": ("medium", "media", "technique", "material", "materials", "technik", "support"),
    "height_cm": ("height", "h", "high", "hohe", "hoehe", "hauteur"),
    "width_cm": ("width", "w", "wide", "breite", "largeur"),
    "size": (
        "size",
        "dimensions",
        "dims",
        "measurements",
        "h x w",
        "size h x w",
        "masse",
        "grosse",
        "groesse",
        "format",
    ),
    "photographer": ("photographer", "photo by", "photographed by", "photograph by", "fotograf"),
    "credit": ("credit", "credits", "credit line", "courtesy", "copyright", "photo credit", "rights"),
    "permission": (
        *("permission", "permissions", "permission status", "cleared", "clearance", "rights cleared", "consent"),
        *("genehmigung", "freigabe", "erlaubnis", "autorisation", "permesso", "permiso", "toestemming"),
    ),
    "file": (
        *("file", "file name", "photograph", "photo", "image", "picture", "still", "image file", "picture file"),
        *("datei", "foto", "fichier"),
    ),
}
_UNITS = Units(
    columns=frozenset({"height_cm", "width_cm", "size"}),
    words={word: word for word in ("mm", "cm", "m", "in", "inch", "inches")},
)


@dataclass(frozen=True, slots=True)
class Work:
    """One work. Height and width are centimetres above 0, None where the list does not say; line 0: not from a file.

    permission to show it is one of those in permission.py, "" where none is recorded.
    """

    number: str
    title: str
    other_names: tuple[str, ...] = ()
    year: str = ""
    medium: str = ""
    height_cm: float | None = None
    width_cm: float | None = None
    photographer: str = ""
    credit: str = ""
    file: str = ""
    line: int = 0
    permission: str = ""

    @property
    def names(self) -> tuple[str, ...]:
        """The title, where there is one, and the other names."""
        return tuple(name for name in (self.title, *self.other_names) if name)


@dataclass(frozen=True, slots=True)
class WorksList:
    """Usable works in the order of the file, and how the file was read (see CutList)."""

    works: tuple[Work, ...]
    problems: tuple[Problem, ...]
    columns: dict[str, str]
    ignored: tuple[str, ...]


def _enough(header: Header) -> bool:
    return bool({"title", "number", "file"} & header.places.keys()) and len(header.places) > 1


_FORM = Form(
    name="works list",
    row="work",
    vocabulary=_NAMES,
    enough=_enough,
    need="a title, number or file and at least one column more (number, title, year, file would work)",
    units=_UNITS,
)


def read_works(path: Path) -> WorksList:
    """Read a works list from a CSV file.

    A cell or row that cannot be used is a problem, not an error; raise ListError where no row can be used at all.
    """
    sheet = read_sheet(path, _FORM)
    read = [_read(row, sheet) for row in sheet.rows]
    works = tuple(work for work, _ in read if work)
    problems = [*sheet.problems, *(problem for _, found in read for problem in found), *_twice(works, sheet.header)]
    if not works:
        raise ListError(_no_rows(path, problems))
    ordered = tuple(sorted(problems, key=lambda problem: problem.line))
    return WorksList(works, ordered, sheet.header.columns, sheet.header.ignored)


def _read(row: Row, sheet: Sheet) -> tuple[Work | None, tuple[Problem, ...]]:
    if not (row["title"] or row["number"] or row["file"]):
        rule = "a work has a title, a number or a file; the row is left out"
        return None, (Problem(row.line, sheet.header.columns.get("title", ""), rule),)
    problems: list[Problem] = []
    height, width = _size(row, sheet.header, problems)
    work = Work(
        number=row["number"],
        title=row["title"],
        other_names=_several(row["other_names"]),
        year=row["year"],
        medium=row["medium"],
        height_cm=height,
        width_cm=width,
        photographer=row["photographer"],
        credit=row["credit"],
        file=row["file"],
        line=row.line,
        permission=_permission(row, sheet.header, problems),
    )
    return work, tuple(problems)


def _permission(row: Row, header: Header, problems: list[Problem]) -> str:
    try:
        return read_permission(row["permission"])
    except ValueError as error:
        message = f"{shown(row['permission'])} counts as not recorded: {error}"
        problems.append(Problem(row.line, header.columns["permission"], message))
        return ""


def _several(cell: str) -> tuple[str, ...]:
    """Split other names at semicolons, bars and line breaks; commas belong to titles."""
    return tuple(name.strip() for name in re.split(r"[;|\r\n]", cell) if name.strip())


def _size(row: Row, header: Header, problems: list[Problem]) -> tuple[float | None, float | None]:
    height = _measured(row, "height_cm", header, read_extent, problems)
    width = _measured(row, "width_cm", header, read_extent, problems)
    both = _measured(row, "size", header, read_size, problems) if height is None and width is None else None
    return both if both else (height, width)


def _measured(
    row: Row, column: str, header: Header, read: Callable[[str, str], T], problems: list[Problem]
) -> T | None:
    if not row[column]:
        return None
    found = header.columns[column]
    try:
        return read(row[column], header.units.get(column) or "cm")
    except ValueError as error:
        problems.append(Problem(row.line, found, f"{shown(row[column])} is left out: {error}"))
        return None


def _twice(works: Sequence[Work], header: Header) -> Iterator[Problem]:
    first: dict[str, Work] = {}
    for work in works:
        before = first.setdefault(id_key(work.number), work) if work.number else work
        if before is not work:
            yield Problem(
                work.line,
                header.columns["number"],
                f"{shown(work.number)} is the number of line {before.line} too; both works are kept",
            )


def _no_rows(path: Path, problems: Sequence[Problem]) -> str:
    first = "; ".join(str(problem) for problem in problems[:3])
    return f"'{path}' has no usable row below its header" + (f": {first}" if first else "; a row a work would work")
