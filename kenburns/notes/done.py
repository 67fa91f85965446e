"""Which notes are dealt with: kept in a file of its own, so that nobody's file of notes is written to."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

from pydantic import BaseModel, ConfigDict, ValidationError

from ..errors import ListError

DONE_FILE = "notes-done.json"


class _Done(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")

    version: int = 1
    done: tuple[str, ...] = ()


def read_done(path: Path) -> frozenset[str]:
    """Return the ids of the notes that are done; none where there is no such file yet.

    ListError where the file there is none of ours.
    """
    try:
        return frozenset(_Done.model_validate_json(path.read_bytes()).done)
    except (FileNotFoundError, NotADirectoryError):
        return frozenset()
    except OSError as error:
        raise ListError(f"'{path}' cannot be read: {error.strerror}") from error
    except ValidationError as error:
        raise ListError(
            f"'{path}' is not the list of done notes that is kept there: {error.errors()[0]['msg']}; move it away"
        ) from error


def marked(done: Iterable[str], note: str, *, is_done: bool = True) -> frozenset[str]:
    """Return the ids with one more, or one fewer."""
    return frozenset(done) | {note} if is_done else frozenset(done) - {note}


def done_text(done: Iterable[str]) -> str:
    """Return the text of the file: the same for the same ids, so that it compares well."""
    return json.dumps({"version": 1, "done": sorted(set(done))}, indent=2) + "\n"
