"""What is dropped on the desk is copied into the film's folder: photographs, a cut list, a works list.

Nothing that is there is ever written over, and names are made safe for every system.
"""

from __future__ import annotations

import filecmp
import os
import shutil
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path, PurePosixPath

from ..cutlist.ids import is_file_stem
from ..cutlist.reading import SUFFIXES, read_cut_list
from ..errors import OptionError, RequestError
from ..files import whole_new_file, write_new
from ..film import FILM_FILE, Folders
from ..film_file import with_values
from ..film_place import FilmPlace, film_for
from ..fresh_film import film_text
from ..stills.folder import PICTURE_SUFFIXES
from .door import can_bring, new_film_folder
from .film_text import read_film_text, write_film_text
from .uploads import Upload

_RESERVED = '<>:"/\\|?*'
_LONGEST = 100  # bytes of a name without its suffix
_WORKS = "works"


@dataclass(frozen=True, slots=True)
class Brought:
    """The film to go on with, the files as they were taken in (their names, and where they lie), and the others."""

    target: Path
    taken: tuple[tuple[str, str], ...]
    left_out: tuple[tuple[str, str], ...]


def bring(target: Path, uploads: Sequence[Upload], *, has_film: bool) -> Brought:
    """Move files that have arrived into the film at `target`, or into a new film folder where it holds none yet.

    RequestError where none of them can be used, and then nothing is written.
    """
    sorted_out = _sorted_out(uploads, Fraction(25))
    if not sorted_out.photographs and sorted_out.cut_list is None and sorted_out.works is None:
        reasons = "; ".join(reason for _, reason in sorted_out.left_out[:3]) or "no file has come"
        raise RequestError(f"nothing to take in: {reasons}")
    if not has_film and not can_bring(target):
        raise RequestError(
            "this folder is no empty one; wait until it has been looked at, or see what is wrong with it"
        )
    if has_film or target.is_file() or (target / FILM_FILE).exists():
        return _into(film_for(target), target, sorted_out)
    root = new_film_folder(target)
    return _into(_new_film(root), root, sorted_out)


@dataclass(frozen=True, slots=True)
class _Sorted:
    photographs: tuple[Upload, ...]
    cut_list: Upload | None
    works: Upload | None
    left_out: tuple[tuple[str, str], ...]


def _sorted_out(uploads: Sequence[Upload], rate: Fraction) -> _Sorted:
    photographs: list[Upload] = []
    lists: dict[str, Upload] = {}
    left_out: list[tuple[str, str]] = []
    for upload in uploads:
        name, suffix = base_name(upload.name), PurePosixPath(base_name(upload.name)).suffix.lower()
        if name.startswith("."):
            left_out.append((name, f"'{name}' is a hidden file"))
        elif suffix in PICTURE_SUFFIXES:
            photographs.append(upload)
        elif suffix not in SUFFIXES:
            left_out.append((name, f"'{name}' is neither a photograph nor a cut list"))
        else:
            kind = _WORKS if suffix == ".csv" and _letters(name).startswith(_WORKS) else "cut list"
            reason = f"'{name}' is a second {kind}" if kind in lists else _unreadable(kind, upload, suffix, rate)
            left_out.append((name, reason)) if reason else lists.update({kind: upload})
    return _Sorted(tuple(photographs), lists.get("cut list"), lists.get(_WORKS), tuple(left_out))


def _unreadable(kind: str, upload: Upload, suffix: str, rate: Fraction) -> str:
    """Say why a cut list cannot be read, "" where it can; some of its forms are told by their suffix."""
    if kind == _WORKS:
        return ""
    named = upload.path.with_suffix(suffix)
    os.link(upload.path, named)
    try:
        read_cut_list(named, rate)
    except RequestError as wrong:
        return str(wrong).replace(str(named), base_name(upload.name))
    finally:
        named.unlink()
    return ""


def _letters(name: str) -> str:
    return "".join(letter for letter in PurePosixPath(name).stem.casefold() if letter.isalnum())


def _new_film(root: Path) -> FilmPlace:
    """Make a film folder; OptionError where the system refuses."""
    folders = Folders()
    try:
        (root / folders.photographs).mkdir(parents=True, exist_ok=True)
        text = film_text(root.resolve().name)
        if not (root / folders.cut_list).exists():
            text = text.replace("\ncut_list = ", "\n#cut_list = ")  # a list that is named must be there
        write_new(root / FILM_FILE, text.encode())
    except OSError as wrong:
        raise OptionError(f"'{root}' cannot be made a film folder: {wrong.strerror or wrong}") from None
    return film_for(root)


def _into(place: FilmPlace, target: Path, brought: _Sorted) -> Brought:
    taken: list[tuple[str, str]] = []
    left_out = list(brought.left_out)
    place.photographs.mkdir(parents=True, exist_ok=True)
    for upload in brought.photographs:
        lies = settle(upload.path, place.photographs, safe_name(upload.name))
        taken.append((base_name(upload.name), lies.name))
    for kind, listed, stands in (("cut_list", brought.cut_list, place.cut_list), ("works", brought.works, place.works)):
        if listed is None:
            continue
        name = base_name(listed.name)
        if stands is not None:
            left_out.append((name, f"the film has its {kind.replace('_', ' ')} already, '{stands.name}'"))
        else:
            taken.append((name, _list(place, kind, listed)))
    return Brought(target, tuple(taken), tuple(left_out))


def _list(place: FilmPlace, kind: str, upload: Upload) -> str:
    """Take in a list under the name that is looked for, and write that into film.toml where it is not the usual."""
    stem = PurePosixPath(getattr(Folders(), kind)).stem
    suffix = PurePosixPath(base_name(upload.name)).suffix.lower()
    lies = settle(upload.path, place.root, f"{stem}{suffix}")
    if place.file is not None and lies.name != getattr(place.film.folders, kind):
        now = film_for(place.file)
        text = read_film_text(now)
        write_film_text(now, with_values(text, {("folders", kind): lies.name}), text)
    return lies.name


def settle(path: Path, folder: Path, name: str) -> Path:
    """Move a file into a folder under a name, or that name and a number where another file has it.

    Return where it lies; where the same content lies there already, that file.
    """
    stem, suffix = PurePosixPath(name).stem, PurePosixPath(name).suffix
    number = 1
    while True:
        lies = folder / (name if number == 1 else f"{stem}-{number}{suffix}")
        if _moved(path, lies):
            return lies
        if lies.is_file() and filecmp.cmp(path, lies, shallow=False):
            path.unlink()
            return lies
        number += 1


def _moved(path: Path, lies: Path) -> bool:
    """Move a file to a place where nothing is; False where something is there."""
    try:
        os.link(path, lies)
    except FileExistsError:
        return False
    except OSError:  # another disk, or one without links
        return _copied(path, lies)
    path.unlink()
    return True


def _copied(path: Path, lies: Path) -> bool:
    try:
        with whole_new_file(lies) as part:
            shutil.copyfile(path, part)
    except FileExistsError:
        return False
    path.unlink()
    return True


def base_name(name: str) -> str:
    """Return the last part of a name, whichever way its folders are written."""
    return unicodedata.normalize("NFC", name.replace("\\", "/").rpartition("/")[2])


def safe_name(name: str) -> str:
    """Return a file name that every system takes, as near to the one given as can be, with its suffix."""
    base = base_name(name)
    suffix = PurePosixPath(base).suffix.lower() if PurePosixPath(base).suffix.isascii() else ""
    stem = base[: len(base) - len(suffix)] if suffix else base
    plain = "".join("_" if c in _RESERVED or not c.isprintable() else c for c in stem).strip(" .")
    while len(unicodedata.normalize("NFD", plain).encode("utf-8", "replace")) > _LONGEST:
        plain = plain[:-1]
    if not is_file_stem(plain):
        ascii_only = "".join(c for c in plain if c.isascii() and c.isalnum())
        plain = f"photograph-{ascii_only[:_LONGEST]}".rstrip("-")
    return plain + base[len(base) - len(suffix) :]
