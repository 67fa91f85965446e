"""What happened in a run, as one JSON object a line: what, which slot, how long it took, how much memory was used.

Times are UTC (ISO 8601); `memory_mb` is the most that the process which did it had used by then.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from threading import Lock
from typing import Any, TextIO

from .errors import OptionError
from .render.machine import peak_memory_mb
from .render.schedule import Made


@dataclass
class RunLog:
    """Writes events, and knows which slot took the longest and which file is the largest; safe from several threads."""

    file: TextIO | None = None
    _begun: set[str] = field(default_factory=set)
    _took: dict[str, float] = field(default_factory=dict)
    _bytes: dict[str, int] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)

    def tell(self, event: str, **facts: Any) -> None:
        """Write one event."""
        if self.file is None:
            return
        now = datetime.now(UTC).isoformat(timespec="milliseconds")
        line = {"time": now, "event": event, "memory_mb": peak_memory_mb(), **facts}
        with self._lock:
            self.file.write(json.dumps(line) + "\n")
            self.file.flush()

    def frame(self, slot: str, done: int, total: int) -> None:
        """Note a frame of a slot: the first one begins it."""
        if slot not in self._begun:
            self._begun.add(slot)
            self.tell("slot begins", slot=slot, frames=total, done=done)

    def made(self, made: Made, size: int) -> None:
        """Note a finished file of so many bytes."""
        slot = made.slot.slot
        self._took[slot], self._bytes[slot] = made.seconds, size
        self.tell("slot made", slot=slot, seconds=round(made.seconds, 3), bytes=size, memory_mb=made.memory_mb)

    def failed(self, slot: str, error: str) -> None:
        """Note a slot that could not be made."""
        self.tell("slot failed", slot=slot, error=error)

    def summary(self) -> tuple[str, ...]:
        """Return the slowest slot and the largest file of the run, in words; nothing where fewer than two were made."""
        if len(self._took) < 2:
            return ()
        slowest, largest = (max(values, key=lambda slot: values[slot]) for values in (self._took, self._bytes))
        return (
            f"slot '{slowest}' took the longest: {self._took[slowest]:.1f} s",
            f"slot '{largest}' is the largest file: {self._bytes[largest] / 1e6:.1f} MB",
        )


@contextmanager
def run_log(path: Path | None) -> Iterator[RunLog]:
    """Give a log that is added to the end of `path`, or to nothing; OptionError where the file cannot be written."""
    if path is None:
        yield RunLog()
        return
    try:
        file = path.open("a", encoding="utf-8")
    except OSError as error:
        raise OptionError(f"--log: '{path}' cannot be written: {error.strerror}; name another file") from error
    with file:
        yield RunLog(file)
