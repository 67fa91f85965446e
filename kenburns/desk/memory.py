"""What looking at photographs has found, kept between two openings of the desk."""

from __future__ import annotations

from pathlib import Path

from ..records import RECORDS_FILE, Records, load_records
from .own_folder import NAME, own_folder


class Memory:
    """The records of one out folder at a time."""

    def __init__(self) -> None:
        self.records = Records()
        self._out: Path | None = None

    def of(self, out: Path) -> Records:
        """Return the records of an out folder: the desk's or the last rendering's, whichever are younger."""
        if out != self._out:
            self._out = out
            self.records = load_records(max(out, out / NAME, key=_age))
        return self.records

    def keep(self) -> None:
        """Write the records down, if there is a place for them."""
        folder = own_folder(self._out) if self._out else None
        if folder is not None:
            self.records.save(folder)


def _age(folder: Path) -> float:
    try:
        return (folder / RECORDS_FILE).stat().st_mtime
    except OSError:
        return 0.0
