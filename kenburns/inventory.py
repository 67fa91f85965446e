"""Files as they stand: what shows, mostly without their content being read, that they are all the same later on."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import astuple, dataclass
from pathlib import Path
from typing import Any, Self

from .stills.stamp import Stamp, stamp

_LARGEST = 256 << 20  # bytes that are read of a file whose stamp does not tell enough


@dataclass(frozen=True, slots=True)
class Inventory:
    """Stamps by path, None where nothing is there; SHA-256 of the files that had not come to rest (`stills/stamp.py`).

    Of those a change might not show in the stamp.
    """

    stamps: Mapping[str, Stamp | None]
    contents: Mapping[str, str]

    @classmethod
    def of(cls, paths: Iterable[Path]) -> Self:
        """Take down files as they stand; OSError where one cannot be read, or has only now become very large."""
        stamps = _stamps(paths)
        moving = [path for path, told in stamps.items() if told is not None and not told.is_settled()]
        return cls(stamps, {path: _content(path) for path in moving})

    def stands(self, paths: Iterable[Path]) -> bool:
        """Whether these are the same files, each as it was; OSError where one cannot be read."""
        return _stamps(paths) == self.stamps and all(_content(path) == sha for path, sha in self.contents.items())

    def as_json(self) -> dict[str, Any]:
        """Return a document of it."""
        stamps = {path: astuple(told) if told else None for path, told in self.stamps.items()}
        return {"stamps": stamps, "contents": self.contents}

    @classmethod
    def from_json(cls, document: Mapping[str, Any]) -> Self:
        """Return what `as_json` wrote down."""
        stamps = {path: Stamp(*told) if told else None for path, told in document["stamps"].items()}
        return cls(stamps, document["contents"])


def files_below(folder: Path, leave_out: Collection[Path] = ()) -> Iterator[Path]:
    """Yield the files below a folder; none where it is not there, OSError where a part of it cannot be read.

    Not those that are hidden, or in folders that are hidden, links, or left out; these are given resolved.
    """
    for place, folders, files in os.walk(folder, onerror=_raise_unless_missing):
        here = Path(place)
        folders[:] = [name for name in folders if name[0] != "." and (here / name).resolve() not in leave_out]
        yield from (here / name for name in files if name[0] != ".")


def _raise_unless_missing(error: OSError) -> None:
    if not isinstance(error, FileNotFoundError):
        raise error


def _stamps(paths: Iterable[Path]) -> dict[str, Stamp | None]:
    return {str(path): stamp(path) for path in paths}


def _content(path: str) -> str:
    if not os.path.isfile(path) or os.path.getsize(path) > _LARGEST:
        raise OSError(f"'{path}' is no file whose content can be told from another")
    with open(path, "rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
