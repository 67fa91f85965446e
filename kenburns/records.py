"""What is known from before: an unchanged photograph is neither hashed nor looked at again, a slot not planned anew.

Facts are kept by content: a file counts as unchanged while its size, its times and its place on the disk are the same,
and what looking has found is kept for one content, one frame and one set of hand edits.
"""

from __future__ import annotations

import hashlib
import json
import threading
from dataclasses import dataclass, field, replace
from importlib.metadata import version
from pathlib import Path

from pydantic import BaseModel, ConfigDict, ValidationError

from .cutlist.match import Match
from .files import write_whole
from .film import StillEdit
from .motion.geometry import Size
from .plan.document import PlannedShot
from .plan.material import Seen
from .plan.moves import Moves
from .remembered import Remembered
from .stills.open import Photograph
from .stills.opened_apart import inspect_apart
from .stills.stamp import Stamp, stamp

RECORDS_FILE = "records.json"

_LOOKING = 3  # counted up when looking, planning or matching would find something else in the same
_LARGEST = 256 << 20  # bytes


class _Fact(BaseModel):
    model_config = ConfigDict(frozen=True)
    stamp: Stamp
    photograph: Photograph


class _Look(BaseModel):
    model_config = ConfigDict(frozen=True)
    photograph: Photograph
    seen: Seen


class _Document(BaseModel):
    version: int
    made_by: str
    facts: dict[str, _Fact]
    looks: dict[str, _Look]
    shots: dict[str, tuple[PlannedShot, ...]] = {}
    kinds: dict[str, tuple[str, ...]] = {}
    matches: dict[str, Match] = {}


@dataclass
class Records:
    """Facts by file name and looks by what was looked at; moves and matches. Safe from several threads."""

    moves: Moves = field(default_factory=Moves)
    matches: Remembered[Match] = field(default_factory=Remembered)
    _facts: dict[str, _Fact] = field(default_factory=dict)
    _looks: dict[str, _Look] = field(default_factory=dict)
    _used: set[str] = field(default_factory=set)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def inspect(self, path: Path, name: str) -> Photograph:
        """Return the facts about a photograph; read anew where the file is another than before.

        Raises PhotographError as `stills.open.inspect` does.
        """
        told = stamp(path)
        settled = told is not None and told.is_settled()
        known = self._facts.get(name)
        if told is not None and known is not None and known.stamp == told:
            photograph = replace(known.photograph, path=path)
        else:
            photograph = inspect_apart(path, name)
        if told is not None and settled:
            with self._lock:
                self._facts[name] = _Fact(stamp=told, photograph=photograph)
        return photograph

    def look(self, key: str) -> tuple[Photograph, Seen] | None:
        """Return what was found before, None where nobody has looked."""
        known = self._looks.get(key)
        with self._lock:
            self._used.add(key)
        return (known.photograph, known.seen) if known else None

    def keep(self, key: str, photograph: Photograph, seen: Seen) -> None:
        """Remember what was found."""
        with self._lock:
            self._looks[key] = _Look(photograph=photograph, seen=seen)

    def save(self, out: Path) -> None:
        """Write what was asked for in this run into the out folder, whole or not at all."""
        with self._lock:
            looks = {key: look for key, look in sorted(self._looks.items()) if key in self._used}
            names = {look.photograph.name for look in looks.values()}
            facts = {name: fact for name, fact in sorted(self._facts.items()) if name in names}
        document = _Document(
            version=_LOOKING,
            made_by=_made_by(),
            facts=facts,
            looks=looks,
            shots=self.moves.shots.used,
            kinds=self.moves.kinds.used,
            matches=self.matches.used,
        )
        write_whole(out / RECORDS_FILE, document.model_dump_json().encode())


def load_records(out: Path) -> Records:
    """Return what an out folder remembers; nothing where there is nothing, or where it cannot be relied on."""
    path = out / RECORDS_FILE
    try:
        if path.stat().st_size > _LARGEST:
            return Records()
        document = _Document.model_validate_json(path.read_bytes())
    except (OSError, ValidationError):
        return Records()
    if (document.version, document.made_by) != (_LOOKING, _made_by()):
        return Records()
    moves = Moves(Remembered(document.shots), Remembered(document.kinds))
    return Records(moves, Remembered(document.matches), dict(document.facts), dict(document.looks))


def look_key(photograph: Photograph, hand: StillEdit, frame: Size, matte: tuple[int, int, int], depth: float) -> str:
    """Return a key for all that the result of looking depends on."""
    details = [(area.x, area.y, area.width, area.height) for area in hand.details]
    edits = [hand.outline, details, hand.square_up]
    parts = [photograph.name, photograph.sha256, edits, [frame.width, frame.height], matte, depth]
    return hashlib.sha256(json.dumps(parts).encode()).hexdigest()


def _made_by() -> str:
    return f"kenburns {version('kenburns')}"
