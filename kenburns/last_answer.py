"""An unchanged run answers at once: what it would say is kept from the run before, for as long as nothing has changed.

The out folder keeps what was asked, every file that was read and every file that stands there (`inventory.py`), and the
answer. Where anything is another by now, or cannot be told, there is no answer, and everything is done anew: so a file
that is damaged, or left over from another run, is at worst of no use.
"""

from __future__ import annotations

import gzip
import json
import os
import sys
import zlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from .cards.families import chain
from .deliver.lock import only_run
from .errors import KenburnsError
from .files import write_whole
from .film_place import FilmPlace, film_for
from .inventory import Inventory, files_below
from .presets import card_look
from .resources import PACKAGE, resource_folder

ANSWER_FILE = ".answer.json.gz"  # hidden, as nobody else has a use for it; the checksum (RFC 1952) tells of damage

_VERSION = 1
_LARGEST = 256 << 20  # bytes


@dataclass(frozen=True, slots=True)
class Answer:
    """What a run says: lines before it makes anything and at its end, both of these for scripts, and its status."""

    foreseen: tuple[str, ...]
    said: tuple[str, ...]
    document: Mapping[str, Any]
    needs_attention: bool


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of a film, and all that is read to answer it, as it stood before anything was read."""

    asked: tuple[str, ...]
    place: FilmPlace
    read: Inventory

    @property
    def outs(self) -> tuple[Path, ...]:
        """The out folders of the film's deliveries, the main one first."""
        return (self.place.out, *(self.place.out / name for name in self.place.film.deliveries))

    @property
    def file(self) -> Path:
        """Where the answer is kept."""
        return self.place.out / ANSWER_FILE


def question(target: Path, cut_list: Path | None, out: Path | None, *options: str | None) -> Question | None:
    """Return what is asked with a target and options; None where not all that is read can be told of.

    RequestError as `film_for` raises it.
    """
    place = film_for(target, cut_list=cut_list, out=out)
    with suppress(OSError):
        asked = (str(_VERSION), *map(repr, (str(target), cut_list, out, *options)), *_surroundings())
        return Question(asked, place, Inventory.of(_read_for(place)))
    return None


def answered(question: Question) -> Answer | None:
    """Return the answer from the last time; None where there is none, or anything is another by now.

    OptionError where another run is at work in an out folder, as for any run.
    """
    kept = _kept(question.file)
    if kept is None or kept.asked != question.asked or not all(out.is_dir() for out in question.outs):
        return None
    with _held(question.outs), suppress(OSError):
        if kept.read.stands(_read_for(question.place)) and kept.made.stands(_made_in(question.outs)):
            return kept.answer
    return None


def keep(question: Question, answer: Answer, stands: Callable[[], bool]) -> None:
    """Keep the answer to a question for the next time, if nothing that was read has changed since, and all stands.

    `stands` tells whether the out folders hold what the answer speaks of; it is called when nobody else can write
    there. Nothing is kept where that cannot be told, or the disk is full: the next run then does everything.
    """
    with suppress(KenburnsError, OSError), _held(question.outs):
        kept = _Kept(question.asked, question.read, Inventory.of(_made_in(question.outs)), answer)
        if stands() and question.read.stands(_read_for(question.place)):
            write_whole(question.file, gzip.compress(json.dumps(kept.as_json()).encode(), mtime=0))


@dataclass(frozen=True, slots=True)
class _Kept:
    """What was asked, what was read for it and what stood when it was done, and what the next run says."""

    asked: tuple[str, ...]
    read: Inventory
    made: Inventory
    answer: Answer

    def as_json(self) -> dict[str, Any]:
        """Return a document of it; not as `dataclasses.asdict` does, which copies all that it holds."""
        answer = {part.name: getattr(self.answer, part.name) for part in fields(Answer)}
        return {"asked": self.asked, "read": self.read.as_json(), "made": self.made.as_json(), "answer": answer}


def _kept(file: Path) -> _Kept | None:
    try:
        with gzip.open(file) as packed:
            kept = json.loads(packed.read(_LARGEST))
        said = kept["answer"]
        return _Kept(
            tuple(kept["asked"]),
            Inventory.from_json(kept["read"]),
            Inventory.from_json(kept["made"]),
            Answer(tuple(said["foreseen"]), tuple(said["said"]), said["document"], said["needs_attention"]),
        )
    except (OSError, EOFError, ValueError, LookupError, TypeError, AttributeError, RecursionError, zlib.error):
        return None


@contextmanager
def _held(outs: Sequence[Path]) -> Iterator[None]:
    """Let nobody else write to the out folders; OptionError where a run is at work in one."""
    with ExitStack() as held:
        for out in outs:
            held.enter_context(only_run(out))
        yield


def _surroundings() -> Iterator[str]:
    """Yield what else an answer depends on: where names begin, who asks, and which releases of libraries answer."""
    yield from (os.getcwd(), os.path.expanduser("~"), str(os.geteuid() if hasattr(os, "geteuid") else ""), sys.version)
    for folder in filter(os.path.isdir, sys.path):
        yield from sorted(name for name in os.listdir(folder) if name.endswith((".dist-info", ".egg-info")))


def _read_for(place: FilmPlace) -> Iterator[Path]:
    """Yield every file that a run may read before it makes anything, this tool's own among them."""
    kept_by_python_and_numba = "__pycache__"  # what they compile, at any time
    yield from (path for path in files_below(PACKAGE) if path.parent.name != kept_by_python_and_numba)
    for presets in (resource_folder("presets"), place.presets):
        yield from presets.glob("*/*.toml")
    yield from files_below(place.photographs, [place.out.resolve()])
    named = (place.film.folders.cut_list, place.film.folders.works, place.film.folders.notes)
    yield from (place.root / name for name in named)  # there, or still to come
    yield from filter(None, (place.file, place.cut_list, place.works))
    for look in {settings.card for settings in _settings(place)}:
        yield from chain(card_look(look, place.presets).typeface)


def _settings(place: FilmPlace) -> Sequence[Any]:
    return [place.film.settings, *(place.film.delivered(name) for name in place.film.deliveries)]


def _made_in(outs: Sequence[Path]) -> Iterator[Path]:
    for out in outs:  # a delivery's folder may be a link, and links are not followed
        yield from files_below(out)
