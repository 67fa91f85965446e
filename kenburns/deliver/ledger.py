"""The manifest as it grows while files are made, so that a run cut short can go on."""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from pathlib import Path

from ..errors import KenburnsError
from ..plan.document import Plan
from .lock import Held
from .manifest import Manifest, ManifestEntry, is_current, write_manifest
from .refile import retire_outdated

_APART = 20  # times as long as writing the manifest takes, until it is written again


@dataclass(slots=True)
class Ledger:
    """The manifest of an out folder that a run is at work in, and the entries of files that stand finished.

    Written after a file, but for at most a twentieth of the time: what a film of thousands of slots has made in the
    second before a power cut is made again.
    """

    out: Path
    manifest: Manifest
    lock: Held
    entries: dict[str, ManifestEntry] = field(default_factory=dict)
    _next: float = 0.0

    def keep(self, entry: ManifestEntry, plan: Plan) -> None:
        """Add the entry of a file that stands finished; what its slot had under another name is retired."""
        retire_outdated(self.manifest, entry, self.out)
        self.entries[entry.slot] = entry
        begun = time.monotonic()
        if begun >= self._next:
            self.write(plan, self.manifest.sheet)
            self._next = time.monotonic() + _APART * (time.monotonic() - begun)

    def current(self, plan: Plan, marks: Mapping[str, str]) -> tuple[str, ...]:
        """Return the slots whose files stand as they would be made now, and keep their entries."""
        known = self.manifest.by_slot()
        for slot in plan.slots:
            entry = known.get(slot.slot)
            if entry is not None and is_current(entry, slot, marks[slot.slot], self.out):
                # The same picture may have another name by now.
                still = slot.still.file if slot.still else None
                self.entries[slot.slot] = replace(entry, still=still)
        return tuple(self.entries)

    @contextmanager
    def in_the_end(self, plan: Plan) -> Iterator[None]:
        """Write what is known when the block ends, also where it is broken off and nothing keeps us from it."""
        try:
            yield
        except BaseException:
            with suppress(KenburnsError, OSError):
                self.write(plan, self.manifest.sheet)
            raise
        self.write(plan, self.manifest.sheet)

    def write(self, plan: Plan, sheet: str) -> None:
        """Write the manifest, its slots in film order; BrokenOffError where the folder is no longer ours."""
        self.lock.require()
        known = {**self.manifest.by_slot(), **self.entries}
        slots = tuple(known[slot.slot] for slot in plan.slots if slot.slot in known)
        self.manifest = self.manifest.model_copy(update={"slots": slots, "sheet": sheet})
        write_manifest(self.manifest, self.out)
