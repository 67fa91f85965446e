"""A film as it was last planned, and what the page gets of it."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..film_place import FilmPlace
from ..notes.laying import Laid
from ..plan.document import Plan
from ..plan.last import PLAN_FILE
from ..prepare import Prepared
from .state import film_state

Stamps = tuple[tuple[int, int, int] | None, ...]


@dataclass(frozen=True, slots=True)
class Known:
    """A film that could be planned, the text of film.toml that it was planned by, and the notes of a review on it.

    `stamps` tell whether the cut list, or the plan last made, is another by now; `trouble` says why there are no notes
    where there should be.
    """

    prepared: Prepared
    text: str
    stamps: Stamps = ()
    notes: Laid | None = None
    trouble: str = ""

    @property
    def place(self) -> FilmPlace:
        """Where the film and its parts lie."""
        return self.prepared.place


@dataclass(frozen=True, slots=True)
class Snapshot:
    """The film as it was last planned; `body` is what the page gets, as JSON."""

    version: str
    text: str
    prepared: Prepared | None
    body: bytes

    @property
    def plan(self) -> Plan | None:
        """The plan, where there is a film."""
        return self.prepared.plan if self.prepared else None


def stamps(place: FilmPlace) -> Stamps:
    """Return what differs where a film's cut list, or the plan it was last made by, is another."""
    return tuple(map(_stamp, (place.cut_list, place.out / PLAN_FILE)))


def _stamp(path: Path | None) -> tuple[int, int, int] | None:
    try:
        told = path.stat() if path else None
    except OSError:
        return None
    return (told.st_size, told.st_mtime_ns, told.st_ino) if told else None


def of_film(known: Known, problem: str, *, can_undo: bool, can_redo: bool) -> Snapshot:
    """Return what is known as the page sees it; `problem` says why it may be older than the folder."""
    document = {"state": "film", **film_state(known.prepared, known.notes)}
    document["problems"] = [*filter(None, [problem, known.trouble]), *document["problems"]]
    document |= {"can_undo": can_undo, "can_redo": can_redo}
    return _snapshot(document, known.text, known.prepared)


def of_nothing(hint: str, *, busy: bool) -> Snapshot:
    """Return a place without a film, and what to bring."""
    empty: dict[str, Any] = {key: [] for key in ("photographs", "refused", "slots", "problems", "remarks")}
    document = {"state": "empty", "hint": hint, "busy": busy, "can_undo": False, "can_redo": False, **empty}
    return _snapshot(document, "", None)


def _snapshot(document: dict[str, Any], text: str, prepared: Prepared | None) -> Snapshot:
    mark = hashlib.sha256(json.dumps([document, text], sort_keys=True).encode("utf-8", "surrogatepass"))
    version = mark.hexdigest()[:24]
    body = json.dumps({"version": version, **document}, allow_nan=False).encode("ascii")
    return Snapshot(version, text, prepared, body)
