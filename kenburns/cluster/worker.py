"""What runs on a worker: one photograph's slots, made for a run that still holds its out folder, and told of."""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from distributed import get_worker

from ..deliver.lock import LOCK_FILE
from ..deliver.manifest import versions
from ..errors import RenderError
from ..plan.document import PlannedSlot
from ..render.schedule import Job, Made, make_group

_LOOKS = 0.5  # seconds between looks at whether the run goes on
_NEWS = 0.2  # seconds between news of a slot's frames


@dataclass(frozen=True, slots=True)
class Run:
    """A run as its workers know it: out folder, what its lock there says, versions, and the topic of its news."""

    out: Path
    lock: bytes
    versions: Mapping[str, str]
    topic: str

    def goes_on(self) -> bool:
        """Whether the run still holds its out folder."""
        return lock_of(self.out) == self.lock


@dataclass
class _Reporter:
    """Tells the run of frames, not of each; ends the job where the run has ended."""

    run: Run
    job: Job
    looked: float = 0.0
    told: dict[str, float] = field(default_factory=dict)

    def __call__(self, slot: str, done: int, total: int) -> None:
        now = time.monotonic()
        if done == total or now - self.looked > _LOOKS:
            self.looked = now
            self._require_run()
        if done == total or now - self.told.get(slot, -_NEWS) >= _NEWS:
            self.told[slot] = now
            get_worker().log_event(self.run.topic, (slot, done, total))

    def _require_run(self) -> None:
        if not self.run.goes_on():
            self.job.stop.set()
            raise RenderError("stopped")


def made_here(group: Sequence[PlannedSlot], shared: Mapping[str, Any], run: Run) -> list[Made]:
    """Write the files of one group of slots; `shared` are the fields of its Job. Nothing where the run has ended."""
    if different := differences(run.versions):
        return [Made(slot, error=f"a worker that has joined since has {different}") for slot in group]
    job = Job(**shared)
    if not run.goes_on():
        job.stop.set()
    return list(make_group(group, job, _Reporter(run, job)))


def differences(wanted: Mapping[str, str]) -> str:
    """Say which versions of this tool and its libraries are others here than wanted; "" where none is."""
    here = versions()
    return ", ".join(
        f"{name} {here.get(name, 'missing')} (not {wanted.get(name, 'there')})"
        for name in sorted({*wanted, *here})
        if wanted.get(name) != here.get(name)
    )


def unseen(run: Run, photographs: Sequence[tuple[Path, int]]) -> str:
    """Return the first path that is not here as the run has it, "" where all are; photographs with their bytes."""
    if not run.goes_on():
        return str(run.out)
    return next((str(path) for path, size in photographs if _size(path) != size), "")


def lock_of(out: Path) -> bytes:
    """Return what the lock of an out folder says; nothing where there is none."""
    try:
        return (out / LOCK_FILE).read_bytes()
    except OSError:
        return b""


def _size(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return -1
