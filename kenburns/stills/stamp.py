"""A file as the system tells of it: what shows, without its content being read, that it is still the same."""

from __future__ import annotations

import time
from dataclasses import dataclass
from pathlib import Path

_SETTLED = 2.0  # seconds a file has stood unchanged before its times can be told from those of a change still to come


@dataclass(frozen=True, slots=True)
class Stamp:
    """Size in bytes, times in nanoseconds, and the file's place on the disk (another one after it was replaced)."""

    size: int
    modified: int
    changed: int
    place: int

    def is_settled(self) -> bool:
        """Whether a change from now on would surely show: file systems count time in steps, the coarsest of 2 s."""
        return time.time() - max(self.modified, self.changed) / 1e9 > _SETTLED


def stamp(path: Path) -> Stamp | None:
    """Return a file's stamp; None where there is no such file, or nothing can be told of it."""
    try:
        told = path.stat()
    except OSError:
        return None
    return Stamp(told.st_size, told.st_mtime_ns, told.st_ctime_ns, told.st_ino)
