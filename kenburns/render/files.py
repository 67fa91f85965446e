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
