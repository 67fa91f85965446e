"""A cut list in any of its forms: a table, an edit decision list, or a timeline; told apart by content."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from ..errors import ListError, OptionError
from .events.edit_list import looks_like_edit_list, read_edit_list
from .slots import CutList
from .table import read_table
from .timelines.timeline import looks_like_timeline, read_timeline

SUFFIXES = (".csv", ".tsv", ".edl", ".otio", ".otioz")
"""Of files that are looked for where none is named."""

_HEAD = 4096  # bytes


@dataclass(frozen=True, slots=True)
class Choice:
    """Which entries of a cut list hold stills: those of a track, of a reel, and what a timeline's markers are.

    `markers`: "slots", "cues" or "notes". A table has neither tracks nor reels.
    """

    track: str | None = None
    reel: str | None = None
    markers: str = "slots"


def read_cut_list(path: Path, rate: Fraction, choice: Choice | None = None) -> CutList:
    """Read a cut list at a rate in frames per second.

    ListError where the file cannot be read or holds nothing usable, OptionError for a choice that its form does not
    have.
    """
    wish = choice or Choice()
    head = _head(path)
    if looks_like_timeline(path, head):
        _require_no(wish.reel, "--reel", path, "a timeline, which has tracks and no reels; use --track")
        return read_timeline(path, rate, track=wish.track, markers=wish.markers)
    if looks_like_edit_list(head):
        return read_edit_list(path, rate, track=wish.track, reel=wish.reel)
    _require_no(wish.track, "--track", path, "a table, which has no tracks; leave it out")
    _require_no(wish.reel, "--reel", path, "a table, which has no reels; leave it out")
    return read_table(path, rate)


def _head(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(_HEAD)
    except OSError as error:
        raise ListError(f"cut list '{path}' cannot be read: {error.strerror}") from error


def _require_no(value: str | None, option: str, path: Path, what: str) -> None:
    if value is not None:
        raise OptionError(f"{option} {value!r}: '{path}' is {what}")
