"""Every reader of what people write, as one function from bytes: it returns, or raises an error that is a sentence.

Shared by the property tests and the coverage-guided fuzzer.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

from kenburns.cutlist.reading import read_cut_list
from kenburns.cutlist.slots import CutList
from kenburns.cutlist.talk.transcript import read_transcript
from kenburns.cutlist.works import read_works
from kenburns.errors import RequestError
from kenburns.film import load_film
from kenburns.film_file import with_slots_renamed, with_values
from kenburns.notes.done import read_done
from kenburns.notes.reading import read_notes
from kenburns.plan.document import read_plan

RATES = (Fraction(25), Fraction(30000, 1001))
LONGEST = 10.0
"""Seconds that any of them may take with any content of a few kilobytes, on a busy machine."""

_FOLDER = Path(tempfile.mkdtemp(prefix="kenburns-parsers-"))


def _cut_list(path: Path) -> None:
    for rate in RATES:
        _check(read_cut_list(path, rate))


def _check(listed: CutList) -> None:
    """What the rest of the package relies on, whatever the file was."""
    ids = [slot.id for slot in listed.slots]
    assert len(set(ids)) == len(ids)
    assert all(slot.start >= 0 and slot.length >= 1 for slot in listed.slots)
    assert all(cue >= 0 for slot in listed.slots for cue in slot.cues)


def _film(path: Path) -> None:
    film = load_film(path)
    text = path.read_text(encoding="utf-8")
    edited = with_values(text, {("slots", "12", "shot"): "tilt", ("film", "title"): "Salt"})
    path.write_text(with_slots_renamed(edited, {"12": "13", "a": "12"}), encoding="utf-8")
    again = load_film(path)
    assert again.settings.title == "Salt"
    assert again.folders == film.folders


def _notes(path: Path) -> None:
    ids = [note.id for note in read_notes(path, RATES[0]).notes]
    assert len(set(ids)) == len(ids)


READERS: dict[str, tuple[str, Callable[[Path], object]]] = {
    "table": (".csv", _cut_list),
    "edit-list": (".edl", _cut_list),
    "timeline": (".otio", _cut_list),
    "bundle": (".otioz", _cut_list),
    "film": (".toml", _film),
    "notes": (".txt", _notes),
    "done": (".json", read_done),
    "transcript": (".vtt", read_transcript),
    "works": (".csv", read_works),
    "plan": (".json", read_plan),
}
"""By name: the suffix of such a file, and what reads it."""


def read_content(name: str, content: bytes) -> str:
    """Read content as a file of that name would be, and return why it is refused, "" where it is not.

    Anything but a RequestError comes through.
    """
    suffix, read = READERS[name]
    path = _FOLDER / f"{name}{suffix}"
    path.write_bytes(content)
    try:
        read(path)
    except RequestError as error:
        return str(error)
    finally:
        path.unlink()
    return ""
