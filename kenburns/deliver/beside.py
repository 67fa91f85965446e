"""Files that stand beside the clips, one a slot, each kind in a folder of its own in the out folder."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from pathlib import Path

from ..cutlist.ids import file_stem
from ..files import write_whole
from ..remembered import Remembered


@dataclass(frozen=True, slots=True)
class Content:
    """A file's content, how it is made, and all it is made from, whose parts are told apart by `repr`."""

    made_from: tuple[object, ...]
    make: Callable[[], bytes]


@dataclass(frozen=True, slots=True)
class Beside:
    """One kind of them: its folder, and the suffix of its files."""

    folder: str
    suffix: str

    def name(self, slot: str) -> str:
        """Return the name of a slot's file, as a posix path in the out folder."""
        return f"{self.folder}/{file_stem(slot)}{self.suffix}"

    def write(
        self, files: Iterable[tuple[str, Content | None]], out: Path, owned: Collection[str], known: Remembered[str]
    ) -> tuple[Path, ...]:
        """Write the file of each slot that has one; return them. One that is `known` to stand there is not made.

        Where a slot has none by now, the one that stands there is removed if it is among the names `owned`.
        """
        written = []
        for slot, content in files:
            name = self.name(slot)
            if content is not None:
                (out / self.folder).mkdir(exist_ok=True)
                _bring_up_to_date(out / name, content, known)
                written.append(out / name)
            elif name in owned:
                (out / name).unlink(missing_ok=True)
        return tuple(written)


def _bring_up_to_date(path: Path, content: Content, known: Remembered[str]) -> None:
    """Write a file, unless it holds by its SHA-256 what is made from the same."""
    made: list[bytes] = []

    def made_now() -> str:
        made.append(content.make())
        return hashlib.sha256(made[0]).hexdigest()

    wanted = known.of((path.suffix, *content.made_from), made_now)
    if made or _sha256(path) != wanted:
        write_whole(path, made[0] if made else content.make())


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""
