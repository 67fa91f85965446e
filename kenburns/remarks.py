"""The remarks of a review laid on a film, and which of them are dealt with."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from pathlib import Path

from .errors import ListError, OptionError
from .files import write_whole
from .film_place import FilmPlace
from .motion.timebase import parse_timecode
from .notes.changes import Answered, answers
from .notes.done import DONE_FILE, done_text, marked, read_done
from .notes.laying import Laid, LaidNote, lay
from .notes.reading import read_notes
from .notes.watched import Watched, followed, only, read_watched
from .plan.document import Plan
from .prepare import Prepared


def laid_notes(prepared: Prepared, file: Path | None = None) -> Laid | None:
    """Return a film's notes laid on the version each was made on, at the slots that those are now; None without any.

    That is the one that stood when the note first was there as the film was made; for a new note the last one made, or
    the one that would be made now. `file`: by default the one that film.toml names. ListError where it is none, or the
    list of done notes is not ours.
    """
    notes = file or _notes_file(prepared.place)
    if notes is None:
        return None
    parts = [followed(laid, then, prepared.plan) for laid, then in _versions(prepared, notes)]
    ordered = sorted((note for laid in parts for note in laid.notes), key=_by_time)
    return replace(parts[-1], notes=tuple(ordered))


def _by_time(note: LaidNote) -> tuple[bool, int, int]:
    return note.first is None, note.first or 0, note.note.line


def answered_notes(prepared: Prepared, file: Path | None = None) -> tuple[Answered, ...]:
    """Return the notes with what has changed in their slots since the version each was made on; see `laid_notes`."""
    notes = file or _notes_file(prepared.place)
    versions = _versions(prepared, notes) if notes and prepared.earlier else ()
    return tuple(answer for laid, then in versions for answer in answers(laid, then, prepared.plan))


def watched_notes(prepared: Prepared) -> Watched:
    """Return which version each note was made on, once the film is made again."""
    kept, notes = read_watched(prepared.place.out), _notes_file(prepared.place)
    if notes is None or prepared.earlier is None:
        return kept
    try:
        found = read_notes(notes, prepared.earlier.exact_rate)
    except ListError:  # `kenburns notes` tells of it
        return kept
    return kept.with_notes([note.id for note in found.notes], prepared.earlier)


def _versions(prepared: Prepared, file: Path) -> list[tuple[Laid, Plan]]:
    """Return notes on each version that some were made on, and last the new ones, if there are any or not."""
    last, kept = prepared.earlier or prepared.plan, read_watched(prepared.place.out)
    new = _lay(prepared, file, last)
    found = [(only(_lay(prepared, file, version.plan), version.notes), version.plan) for version in kept.versions]
    return [*found, (only(new, {note.note.id for note in new.notes} - kept.known), last)]


def _lay(prepared: Prepared, file: Path, plan: Plan) -> Laid:
    start = prepared.place.film.settings.start
    first = parse_timecode(start, plan.exact_rate) if start else None
    return lay(read_notes(file, plan.exact_rate), plan, first, read_done(prepared.place.root / DONE_FILE))


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
