"""From a transcript of the talk to a cut list that a person can edit: a slot wherever a work is spoken of."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from .cutlist.slots import Problem, Slot
from .cutlist.table_text import cut_list_text
from .cutlist.talk.mentions import Mention
from .cutlist.talk.spotting import spot
from .cutlist.talk.transcript import read_transcript
from .errors import OptionError
from .files import write_new
from .film import Folders
from .film_place import FilmPlace, film_for
from .motion.timebase import format_timecode, parse_timecode
from .presets import pacing
from .resolution import works_of

SUFFIXES = (".vtt", ".srt")


@dataclass(frozen=True, slots=True)
class Proposal:
    """Slots proposed from a transcript, mentions that are unsure, and what was not understood; nothing is written."""

    place: FilmPlace
    transcript: Path
    rate: Fraction
    drop: bool
    slots: tuple[Slot, ...]
    unsure: tuple[Mention, ...]
    problems: tuple[Problem, ...]

    def text(self) -> str:
        """Return the cut list as CSV."""
        return cut_list_text(self.slots, self.rate, self.drop)

    def as_json(self) -> dict[str, Any]:
        """Return what `kenburns spot --json` prints."""
        return {
            "transcript": str(self.transcript),
            "slots": [
                {
                    "slot": slot.id,
                    "start": format_timecode(slot.start, self.rate, drop=self.drop),
                    "frames": slot.length,
                    "wanted": slot.wanted,
                    "note": slot.note,
                }
                for slot in self.slots
            ],
            "unsure": [
                {"line": mention.line, "said": mention.said, "name": mention.name, "why": mention.why}
                for mention in self.unsure
            ],
            "problems": [str(problem) for problem in self.problems],
        }


def propose_slots(target: Path | str, transcript: Path | None = None) -> Proposal:
    """Read the transcript of a film and its works list, and propose where a still is wanted.

    Without `transcript`, the one WebVTT or SubRip file in the film's folder is read. RequestError where there is none
    or several, or no works list; nothing is written.
    """
    place = film_for(Path(target))
    settings = place.film.settings
    file = transcript or _transcript(place)
    works = works_of(place)
    if not works.works:
        raise OptionError(f"'{place.root}' has no works list; put the titles to listen for into works.csv")
    start = settings.start or "00:00:00:00"
    drop = ";" in start
    said = read_transcript(file)
    length = Fraction(pacing(settings.pacing, place.presets).length)
    found = spot(said, works.works, settings.rate, length, parse_timecode(start, settings.rate), drop=drop)
    return Proposal(place, file, settings.rate, drop, found.slots, found.unsure, (*said.problems, *found.problems))


def write_proposal(proposal: Proposal) -> Path:
    """Write the cut list where the film looks for it; OptionError where a file is there already."""
    path = proposal.place.root / proposal.place.film.folders.cut_list
    if path.suffix.lower() != ".csv":
        path = proposal.place.root / Folders().cut_list
    try:
        write_new(path, proposal.text().encode())
    except FileExistsError:
        raise OptionError(f"'{path}' is there already; move it aside, or name another in film.toml") from None
    except OSError as error:
        raise OptionError(f"'{path}' cannot be written: {error.strerror}") from error
    return path


def _transcript(place: FilmPlace) -> Path:
    found = sorted(path for path in place.root.iterdir() if path.suffix.lower() in SUFFIXES)
    if len(found) != 1:
        what = "no transcript" if not found else f"{len(found)} transcripts"
        raise OptionError(f"'{place.root}' holds {what} (.vtt or .srt); name one with --transcript")
    return found[0]
