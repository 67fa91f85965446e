"""Files that appear whole or not at all, also when the power goes.

Everything this tool writes is written beside its place, flushed to the disk, and then renamed, which file systems do in
one step (POSIX.1-2017, rename()); the folder's own entry is flushed after it.
"""

from __future__ import annotations

import errno
import os
import re
import secrets
import time
from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

_CANNOT = (errno.EINVAL, errno.ENOTSUP, errno.EBADF)
_PART = re.compile(r"\.(?P<name>.+)\.[0-9a-f]{8}\.part", re.DOTALL)


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Give a path beside `path` to write to; it takes the place of `path` when the block ends without an error.

    After an error what was written is removed, and `path` is as it was. Two writers at once do not disturb each other:
    each has a path of its own, and the file of the one that ends last stays.
    """
    with _part(path) as part:
        yield part
        _flush(part)
        part.replace(path)
        _flush_folder(path.parent)


@contextmanager
def whole_new_file(path: Path) -> Iterator[Path]:
    """Do as `whole_file` does where nothing is in the place of `path`; FileExistsError where something is by then."""
    with _part(path) as part:
        yield part
        _flush(part)
        _link(part, path)
        _flush_folder(path.parent)


def write_whole(path: Path, content: bytes) -> None:
    """Write `content` to `path`, whole or not at all; a file that holds just that already is left alone."""
    if path.is_file() and path.read_bytes() == content:
        return
    with whole_file(path) as part:
        part.write_bytes(content)


def write_new(path: Path, content: bytes) -> None:
    """Write `content` to a new file, whole or not at all; FileExistsError where something is there already."""
    with whole_new_file(path) as part:
        part.write_bytes(content)


def move_all(moves: Iterable[tuple[Path, Path]]) -> None:
    """Rename files, each in one step; of those that are not there nothing moves. What stands at a target is replaced.

    Their folders are made, and flushed when all are renamed.
    """
    folders: set[Path] = set()
    for source, target in moves:
        if source.is_file():
            target.parent.mkdir(parents=True, exist_ok=True)
            source.replace(target)
            folders |= {source.parent, target.parent}
    for folder in folders:
        _flush_folder(folder)


def remove_parts(folder: Path, names: Collection[str] | None = None) -> None:
    """Remove what killed writers of these files (by default of all) have left; nobody may be writing them now."""
    for entry in folder.iterdir() if folder.is_dir() else ():
        found = _PART.fullmatch(entry.name)
        if found and (names is None or found["name"] in names):
            entry.unlink(missing_ok=True)


EARLIER = ".earlier"
KEPT = 5


def write_keeping_earlier(path: Path, content: bytes) -> None:
    """Write as `write_whole` does, and keep the last five versions before, the newest as number 1, in .earlier beside.

    Nothing is kept where nothing changes.
    """
    if path.is_file() and path.read_bytes() != content:
        keep_earlier(path)
    write_whole(path, content)


def keep_earlier(path: Path, apart: float = 0) -> None:
    """Keep the version of a file that is about to be replaced, as `write_keeping_earlier` does.

    `apart`: seconds from the last version that was kept, for who writes many times an hour; within them none is.
    """
    folder = path.parent / EARLIER
    numbered = [folder / f"{path.stem}.{number}{path.suffix}" for number in range(1, KEPT + 1)]
    if apart and numbered[0].is_file() and time.time() - numbered[0].stat().st_mtime < apart:
        return
    before = path.read_bytes()
    folder.mkdir(exist_ok=True)
    for older, newer in zip(numbered[::-1], numbered[-2::-1], strict=False):
        if newer.is_file():
            newer.replace(older)
    write_whole(numbered[0], before)


@contextmanager
def _part(path: Path) -> Iterator[Path]:
    """Give a path that nobody else writes to, and leave nothing there."""
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        yield part
    finally:
        part.unlink(missing_ok=True)


def _flush(part: Path) -> None:
    with part.open("rb+") as written:
        os.fsync(written.fileno())


def _flush_folder(folder: Path) -> None:
    """Flush a folder's entries, where the system lets anybody: not all can, and some do so by themselves."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in _CANNOT:
            raise
    finally:
        os.close(handle)


def _link(part: Path, path: Path) -> None:
    """Give a file a name that must be free."""
    try:
        os.link(part, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without links: nearly as safe
        if os.path.lexists(path):
            raise FileExistsError(f"'{path}' is there already") from None
        part.replace(path)
