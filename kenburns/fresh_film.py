"""A fresh film folder: photographs/, a commented film.toml, and a cut list with its header only."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import tomlkit
from pydantic.fields import FieldInfo

from .errors import OptionError
from .files import write_new
from .film import FILM_FILE, DeliveryEdit, Folders, Settings, SlotEdit, StillEdit
from .toml_file import Table

CUT_LIST_HEADER = ("slot", "start", "end", "wanted", "still", "shot", "caption", "credit", "note")

_HEAD = """\
# A film for kenburns. Lines that begin with # are only read by people: take the # away to use them.
# After any change: kenburns make, with the name of this folder.
"""

_CUT_LIST_NOTE = """
# The cut list is a table in CSV, one row a slot. Times are timecode (10:00:05:00), frames (125) or seconds (5.0 s);
# the end is the first frame after the slot; "length" may stand in place of "end". A row might read:
#   {header}
#   {row}
"""

_EXAMPLE_ROW = ("12", "10:00:05:00", "10:00:10:00", "Blue Kitchen, the left window", "", "push in", "", "", "")


def new_film(folder: Path) -> tuple[Path, ...]:
    """Make a film folder and return what was written: its film.toml, its cut list, its folder of photographs.

    A folder that is there already is used. Raises OptionError, with nothing written, where one of these is there
    already; and where the system refuses.
    """
    photographs, files = folder / Folders().photographs, _files(folder)
    for path in files:
        if path.exists() or path.is_symlink():
            raise OptionError(f"'{path}' is there already; name a folder without a {path.name}")
    try:
        photographs.mkdir(parents=True, exist_ok=True)
        for path, text in files.items():
            write_new(path, text.encode())
    except OSError as wrong:
        raise OptionError(f"'{wrong.filename or folder}' cannot be made: {wrong.strerror or wrong}") from None
    return (*files, photographs)


def _files(folder: Path) -> dict[Path, str]:
    return {
        folder / FILM_FILE: film_text(folder.resolve().name),
        folder / Folders().cut_list: _csv_line(CUT_LIST_HEADER),
    }


def film_text(title: str) -> str:
    """Return a film.toml with every key, its default and a line that says what it is.

    Keys that have no default, and all that is set by hand for one photograph or slot, stand there with a # before them
    and an example's value.
    """
    note = _CUT_LIST_NOTE.format(header=_csv_line(CUT_LIST_HEADER).strip(), row=_csv_line(_EXAMPLE_ROW).strip())
    return "\n".join(
        (
            _HEAD,
            *_section("[film]", Settings, {"title": title}),
            "",
            *_section("[folders]", Folders, {}),
            note,
            *_section("#[deliveries.vertical]", DeliveryEdit, {}, "The film once more, in a folder of its own in out"),
            "",
            *_section('#[stills."sea.jpg"]', StillEdit, {}, "What to set by hand for one photograph, by its file name"),
            "",
            *_section('#[slots."12"]', SlotEdit, {}, "What to set by hand for one slot of the cut list"),
            "",
        )
    )


def _section(heading: str, model: type[Table], values: dict[str, Any], note: str = "") -> Iterator[str]:
    if note:
        yield f"# {note}"
    yield heading
    for key, field in model.model_fields.items():
        yield f"# {field.description}"
        yield _line(key, field, values)


def _line(key: str, field: FieldInfo, values: dict[str, Any]) -> str:
    if field.examples:
        return f"#{key} = {_toml(field.examples[0])}"
    return f"{key} = {_toml(values.get(key, field.default))}"


def _toml(value: object) -> str:
    plain = int(value) if isinstance(value, Fraction) else value
    return tomlkit.item(plain).as_string()


def _csv_line(cells: tuple[str, ...]) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerow(cells)
    return text.getvalue()
