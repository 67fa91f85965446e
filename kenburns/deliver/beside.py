"""Files that stand beside the clips, one a slot, each kind in a folder of its own in the out folder."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from pathlib import Path

from ..cutlist.ids import file_stem
from ..files import write_whole


@dataclass(frozen=True, slots=True)
class Beside:
    """One kind of them: its folder, and the suffix of its files."""

    folder: str
    suffix: str

    def name(self, slot: str) -> str:
        """Return the name of a slot's file, as a posix path in the out folder."""
        return f"{self.folder}/{file_stem(slot)}{self.suffix}"

    def write(self, files: Iterable[tuple[str, bytes | None]], out: Path, owned: Collection[str]) -> tuple[Path, ...]:
        """Write the file of each slot that has one; return them.

        Where a slot has none by now, the one that stands there is removed if it is among the names `owned`.
        """
        written = []
        for slot, content in files:
            name = self.name(slot)
            if content is not None:
                (out / self.folder).mkdir(exist_ok=True)
                write_whole(out / name, content)
                written.append(out / name)
            elif name in owned:
                (out / name).unlink(missing_ok=True)
        return tuple(written)
