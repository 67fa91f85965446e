"""Files that appear whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """Give a path beside `path` to write to; it takes the place of `path` when the block ends without an error.

    After an error what was written is removed, and `path` is as it was.
    """
    part = path.with_name(f".{path.name}.part")
    try:
        yield part
        with part.open("rb+") as written:
            os.fsync(written.fileno())
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)


def write_whole(path: Path, content: bytes) -> None:
    """Write `content` to `path`, whole or not at all; a file that holds just that already is left alone."""
    if path.is_file() and path.read_bytes() == content:
        return
    with whole_file(path) as part:
        part.write_bytes(content)


EARLIER = ".earlier"
KEPT = 5


def write_keeping_earlier(path: Path, content: bytes) -> None:
    """Write as `write_whole` does, and keep the last five versions before, the newest as number 1, in .earlier beside.

    Nothing is kept where nothing changes.
    """
    if not path.is_file():
        write_whole(path, content)
        return
    before = path.read_bytes()
    if before == content:
        return
    folder = path.parent / EARLIER
    folder.mkdir(exist_ok=True)
    numbered = [folder / f"{path.stem}.{number}{path.suffix}" for number in range(1, KEPT + 1)]
    for older, newer in zip(numbered[::-1], numbered[-2::-1], strict=False):
        if newer.is_file():
            newer.replace(older)
    write_whole(numbered[0], before)
    write_whole(path, content)
