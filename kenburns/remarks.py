"""The remarks of a review laid on a film, and which of them are dealt with."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from .errors import OptionError
from .files import write_whole
from .film_place import FilmPlace
from .motion.timebase import parse_timecode
from .notes.done import DONE_FILE, done_text, marked, read_done
from .notes.laying import Laid, lay
from .notes.reading import read_notes
from .prepare import Prepared


def laid_notes(prepared: Prepared, file: Path | None = None) -> Laid | None:
    """Return a film's notes laid on its slots as it was last made, or else as it would be made now; None without any.

    `file`: by default the one that film.toml names. ListError where it is none, or the list of done notes is not ours.
    """
    place, plan = prepared.place, prepared.earlier or prepared.plan
    notes = file or _notes_file(place)
    if notes is None:
        return None
    start = place.film.settings.start
    first = parse_timecode(start, plan.exact_rate) if start else None
    return lay(read_notes(notes, plan.exact_rate), plan, first, read_done(place.root / DONE_FILE))


def mark_notes(laid: Laid, root: Path, done: Collection[str], reopened: Collection[str] = ()) -> None:
    """Write down, beside film.toml in `root`, that notes are done, or open again, by their ids.

    OptionError for an id that no note has, ListError where the list there is not ours; then nothing is written.
    """
    known = {note.note.id for note in laid.notes}
    marks = read_done(root / DONE_FILE)
    for ids, is_done in ((done, True), (reopened, False)):
        for note in ids:
            if note not in known:
                raise OptionError(f"no note has the id '{note}'; they are {', '.join(sorted(known)) or 'none'}")
            marks = marked(marks, note, is_done=is_done)
    if done or reopened:
        write_whole(root / DONE_FILE, done_text(marks).encode())


def _notes_file(place: FilmPlace) -> Path | None:
    path = place.root / place.film.folders.notes
    return path if path.is_file() else None
