"""A CSV file as people export it -> rows of our columns, each with its line in the file.

Whatever the bytes, the outcome is a sheet or a ListError. The dialect is the one of RFC 4180 with its usual
variations: separator comma, semicolon or tab, whichever gives the header the most known columns; any line end; any
encoding of text_file.py, UTF-16 with its mark.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from ..errors import ListError
from .headers import Header, Units, Vocabulary, read_header
from .slots import Problem, shown
from .text_file import decoded, read_bytes

_LARGEST = 20_000_000  # bytes; a cut list of ten thousand slots has two million
_SEPARATORS = (",", ";", "\t")
_HEADER_WITHIN = 20  # rows: some sheets carry a title above their header
_WIDEST = 1_000  # cells of a header that are looked at
_MOST_ROWS = 100_000
_END = "\ue000end of the sheet\ue000"  # a last row of our own: where it does not come back, a quotation is open


@dataclass(frozen=True, slots=True)
class Form:
    """What a list must look like: its name and what a row stands for, its columns, and which of them are enough.

    units are the units that headers may name; need says in words what `enough` asks for.
    """

    name: str
    row: str
    vocabulary: Vocabulary
    enough: Callable[[Header], bool]
    need: str
    units: Units


@dataclass(frozen=True, slots=True)
class Row:
    """One row: the line it begins on, and its cells by our column names, trimmed; absent columns read as empty."""

    line: int
    cells: dict[str, str]

    def __getitem__(self, column: str) -> str:
        return self.cells.get(column, "")


@dataclass(frozen=True, slots=True)
class Sheet:
    """A header, the rows below it that hold anything, and the rows that could not be taken apart."""

    header: Header
    rows: tuple[Row, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class _Raw:
    line: int
    cells: list[str]
    broken: str = ""


def read_sheet(path: Path, form: Form) -> Sheet:
    """Read a CSV file of this form; raise ListError where no row of it can be read."""
    text = read_text(path, form.name)
    separator, header, line = _find_header(path, text, form)
    rows: list[Row] = []
    problems: list[Problem] = []
    for number, raw in enumerate(_raw_rows(text, separator)):
        if number >= _MOST_ROWS:
            raise ListError(f"'{path}' has more than {_MOST_ROWS} rows; a {form.name} has one for each {form.row}")
        if raw.line <= line or not any(cell.strip() for cell in raw.cells):
            continue
        fault = raw.broken or _fault_of_width(raw, header)
        if fault:
            problems.append(Problem(raw.line, "", fault))
        else:
            rows.append(_row(raw, header))
    return Sheet(header, tuple(rows), tuple(problems))


def read_text(path: Path, name: str) -> str:
    """Return the text of a file; raise ListError where it is none, is missing or is larger than 20 MB."""
    text = decoded(read_bytes(path, _LARGEST, f"a {name} is a CSV file"))
    if "\0" in text:
        raise ListError(f"'{path}' is not text; a {name} is a CSV file (export a spreadsheet as CSV, UTF-8)")
    if not text.strip():
        raise ListError(f"'{path}' is empty; a {name} has a header row and at least one row below it")
    return text


def _find_header(path: Path, text: str, form: Form) -> tuple[str, Header, int]:
    """Return the separator, the header and its line."""
    best: tuple[int, str, Header, int] | None = None
    for separator in _SEPARATORS:
        for raw in islice(_raw_rows(text, separator), _HEADER_WITHIN):
            header = read_header(raw.cells[:_WIDEST], form.vocabulary, form.units)
            if form.enough(header) and (best is None or len(header.places) > best[0]):
                best = len(header.places), separator, header, raw.line
    if best is None:
        raise ListError(_no_header(path, text, form))
    return best[1:]


def _no_header(path: Path, text: str, form: Form) -> str:
    first = next(line for line in text.splitlines() if line.strip())
    return f"'{path}' has no header row with {form.need}; its first row is {shown(first)}"


def _raw_rows(text: str, separator: str) -> Iterator[_Raw]:
    """Yield the rows with the line each begins on; after one that cannot be read there is none."""
    source = text if text.endswith(("\n", "\r")) else text + "\n"
    reader = csv.reader(io.StringIO(source + _END, newline=""), delimiter=separator)
    line = 1
    try:
        for cells in reader:
            if cells == [_END]:
                return
            broken = _never_closed(line) if cells and cells[-1].endswith(_END) else ""
            yield _Raw(line, cells, broken)
            line = reader.line_num + 1
    except csv.Error as error:
        yield _Raw(line, ["?"], f"the row cannot be read ({error}); it and all below it are left out")


def _never_closed(line: int) -> str:
    return (
        f"a quotation mark opened in the row of line {line} is never closed; it and all below it are left out. "
        'A quotation mark inside a quoted cell is doubled ("")'
    )


def _fault_of_width(raw: _Raw, header: Header) -> str:
    extra = next((cell for cell in islice(raw.cells, header.width, None) if cell.strip()), "")
    if not extra:
        return ""
    return (
        f"the row has {len(raw.cells)} cells where the header has {header.width}, first {shown(extra)}; the row is "
        "left out. A cell that holds the separator stands in quotation marks"
    )


def _row(raw: _Raw, header: Header) -> Row:
    held = {column: raw.cells[place].strip() for column, place in header.places.items() if place < len(raw.cells)}
    return Row(raw.line, held)
