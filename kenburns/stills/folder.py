"""A folder of photographs: which files count, in which order, and why some cannot be used."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from ..errors import OptionError, PhotographError
from .formats import HEAD_BYTES, sniff
from .open import RAW_SUFFIXES, Photograph, inspect
from .opened_apart import side_by_side

# A file with one of these suffixes was meant as a picture: it is used, or listed with the reason why not.
PICTURE_SUFFIXES = RAW_SUFFIXES | {
    *(".jpg", ".jpeg", ".jpe", ".jfif", ".png", ".tif", ".tiff", ".webp", ".heic", ".heif", ".hif", ".avif"),
    *(".bmp", ".gif", ".jp2", ".j2k", ".jxl", ".psd", ".psb", ".exr", ".hdr", ".tga", ".jxr", ".eps"),
}
MANIFEST = "manifest.json"
MADE_BY = "kenburns"


@dataclass(frozen=True, slots=True)
class Refusal:
    """A file (or folder) that cannot be used: its listed name, and the reason in one line."""

    name: str
    reason: str


Inspect = Callable[[Path, str], Photograph]
"""From a file and the name it is listed by to the facts about it; PhotographError where it is no usable photograph."""


def find_photographs(
    folder: Path, skip: Iterable[Path] = (), inspect: Inspect = inspect
) -> tuple[tuple[Photograph, ...], tuple[Refusal, ...]]:
    """Return the photographs below `folder` and the picture files that cannot be used, both in natural order.

    Left out without a word: hidden files and folders, the folders in `skip`, subfolders that hold clips this package
    made, and files that are no pictures. A file without a suffix counts if its content is a picture. Raises
    OptionError where `folder` is none.
    """
    if not folder.is_dir():
        raise OptionError(f"'{folder}' is not a folder; name the folder that holds the photographs")
    refused: list[Refusal] = []
    skipped = frozenset(path.resolve() for path in skip)
    paths = sorted(_pictures(folder, skipped, refused), key=lambda path: natural_key(_listed(path, folder)))
    results = side_by_side(lambda path: _inspected(path, _listed(path, folder), inspect), paths)
    photographs = tuple(result for result in results if isinstance(result, Photograph))
    refused.extend(result for result in results if isinstance(result, Refusal))
    return photographs, tuple(sorted(refused, key=lambda refusal: natural_key(refusal.name)))


def natural_key(name: str) -> tuple[object, ...]:
    """Return a sort key by which 2 comes before 10, folder by folder, upper and lower case alike."""
    parts = (tuple(_pieces(part)) for part in name.split("/"))
    return (*parts, (), name)


def _pieces(text: str) -> Iterator[tuple[int, int, str]]:
    for piece in re.findall(r"[0-9]+|[^0-9]+", text.casefold()):
        yield (0, int(piece), "") if piece.isdecimal() else (1, 0, piece)


def _listed(path: Path, folder: Path) -> str:
    return path.relative_to(folder).as_posix()


def _inspected(path: Path, name: str, inspect: Inspect) -> Photograph | Refusal:
    try:
        return inspect(path, name)
    except PhotographError as error:
        return Refusal(name, str(error))


def _pictures(folder: Path, skipped: frozenset[Path], refused: list[Refusal]) -> Iterator[Path]:
    def unreadable(error: OSError) -> None:
        name = _listed(Path(error.filename), folder)
        refused.append(Refusal(name, f"'{name}' is a folder that cannot be read ({error.strerror})"))

    for place, folders, files in os.walk(folder, onerror=unreadable):
        here = Path(place)
        folders[:] = [name for name in folders if _is_entered(here / name, skipped)]
        yield from (here / name for name in files if _is_picture(here / name))


def _is_entered(folder: Path, skipped: frozenset[Path]) -> bool:
    return not folder.name.startswith(".") and folder.resolve() not in skipped and not _is_output(folder)


def _is_output(folder: Path) -> bool:
    try:
        document = json.loads((folder / MANIFEST).read_bytes())
    except (OSError, ValueError):
        return False
    return isinstance(document, dict) and document.get("made_by") == MADE_BY


def _is_picture(path: Path) -> bool:
    if path.name.startswith(".") or not path.is_file():
        return False
    return path.suffix.lower() in PICTURE_SUFFIXES or (not path.suffix and _has_picture_content(path))


def _has_picture_content(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            return sniff(file.read(HEAD_BYTES)) is not None
    except OSError:
        return False
