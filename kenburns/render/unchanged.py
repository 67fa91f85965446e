"""A photograph read while somebody may exchange, move or delete its file: what comes out is of one file, or nothing."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import TypeVar

from ..errors import PhotographError
from ..stills.open import Photograph
from ..stills.stamp import stamp

Result = TypeVar("Result")

_TRIES = 3  # a file that is touched while it is read, by a backup, say, is read again


def read_unchanged(photograph: Photograph, sha256: str, read: Callable[[], Result]) -> Result:
    """Return what `read` makes of a photograph's file, which has had this content from before until after.

    `read` is called again where the file was touched meanwhile. PhotographError where its content is another by now,
    it can no longer be read or does not come to rest, and whatever `read` raises of a file that is as it was.
    """
    for _ in range(_TRIES):
        before = stamp(photograph.path)
        settled = before is not None and before.is_settled()
        _require_content(photograph, sha256)
        try:
            result = read()
        except PhotographError:
            if stamp(photograph.path) == before:
                raise
            continue
        if stamp(photograph.path) == before:
            if not settled:
                _require_content(photograph, sha256)
            return result
    raise PhotographError(f"'{photograph.name}' keeps changing while it is read; run again when nobody writes to it")


def _require_content(photograph: Photograph, sha256: str) -> None:
    try:
        with photograph.path.open("rb") as file:
            found = hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise PhotographError(f"'{photograph.name}' can no longer be read: {error.strerror}") from error
    if found != sha256:
        raise PhotographError(f"'{photograph.name}' has changed since the plan was made; run again")
