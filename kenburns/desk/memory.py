"""What looking at photographs has found, kept between two openings of the desk."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field, fields
from pathlib import Path

from ..errors import RequestError
from ..plan.material import Seen
from ..records import RECORDS_FILE, Records, load_records
from ..stills.open import Photograph
from .own_folder import NAME, own_folder


@dataclass
class _Stoppable(Records):
    """Records by which looking at hundreds of photographs can be ended between two of them."""

    stop: threading.Event = field(default_factory=threading.Event)
    has_news: bool = False

    def look(self, key: str) -> tuple[Photograph, Seen] | None:
        if self.stop.is_set():
            raise RequestError("the desk is closing")
        return super().look(key)

    def keep(self, key: str, photograph: Photograph, seen: Seen) -> None:
        super().keep(key, photograph, seen)
        self.has_news = True


class Memory:
    """The records of one out folder at a time."""

    def __init__(self) -> None:
        self._stop = threading.Event()
        self._records = _Stoppable()
        self._out: Path | None = None

    def of(self, out: Path) -> Records:
        """Return the records of an out folder: the desk's or the last rendering's, whichever are younger."""
        if out != self._out:
            self._out = out
            known = load_records(max(out, out / NAME, key=_age))
            self._records = _Stoppable(**{one.name: getattr(known, one.name) for one in fields(known)}, stop=self._stop)
        return self._records

    def keep(self) -> None:
        """Write the records down, if there is a place for them; call it when all photographs have been asked for."""
        folder = own_folder(self._out) if self._out else None
        if folder is not None:
            self._records.save(folder)
            self._records.has_news = False

    def close(self) -> None:
        """Let nobody look at a further photograph; keep what was seen, unless that would drop what was known before."""
        self._stop.set()
        is_first = self._out is not None and not any(map(_age, (self._out, self._out / NAME)))
        if self._records.has_news and is_first:
            self.keep()


def _age(folder: Path) -> float:
    try:
        return (folder / RECORDS_FILE).stat().st_mtime
    except OSError:
        return 0.0
