"""What was worked out for the files beside the clips, kept so that after an edit only what it touches is done again."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from pydantic import BaseModel, ValidationError

from ..files import write_whole
from ..motion.keyframes import Keyframe
from ..remembered import Remembered
from .manifest import versions

WORKED_OUT_FILE = ".worked-out.json"

_WORKING = 2  # counted up when the same plan would give other keyframes, motion tables or captions


class _Document(BaseModel):
    version: int
    made_with: dict[str, str]
    keyframes: dict[str, tuple[Keyframe, ...]]
    contents: dict[str, str]


@dataclass(frozen=True, slots=True)
class WorkedOut:
    """Keyframes by the shots they are of, and the SHA-256 of files by what they are made from."""

    keyframes: Remembered[tuple[Keyframe, ...]] = field(default_factory=Remembered)
    contents: Remembered[str] = field(default_factory=Remembered)

    def keep(self, out: Path) -> None:
        """Write down what was asked for in this run, whole or not at all."""
        document = _Document(
            version=_WORKING, made_with=versions(), keyframes=self.keyframes.used, contents=self.contents.used
        )
        write_whole(out / WORKED_OUT_FILE, document.model_dump_json().encode())


def load_worked_out(out: Path) -> WorkedOut:
    """Return what an out folder remembers; nothing where there is nothing, or other releases have written it."""
    try:
        document = _Document.model_validate_json((out / WORKED_OUT_FILE).read_bytes())
    except (OSError, ValidationError):
        return WorkedOut()
    if (document.version, document.made_with) != (_WORKING, versions()):
        return WorkedOut()
    return WorkedOut(Remembered(document.keyframes), Remembered(document.contents))
