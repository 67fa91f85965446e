"""Slots made by the workers of a Dask scheduler: the same files, on machines that share a disk.

A photograph with all its slots is one task. Dask hands tasks out, and those of a worker that has died to another; a
file appears whole or not at all, so nothing is lost by that. Workers tell of frames through the scheduler's events.
They work for a run while it holds its out folder: one that has ended, however it has, is left within a second.
"""

from __future__ import annotations

import hashlib
import logging
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import CancelledError
from contextlib import contextmanager
from dataclasses import dataclass, field, fields, replace
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import Any

from distributed import Client, Future, KilledWorker

from ..deliver.manifest import versions
from ..errors import OptionError
from ..files import remove_parts
from ..plan.document import PlannedSlot
from ..render.schedule import Job, Made, Makers, Progress, by_still
from .worker import Run, differences, lock_of, made_here, unseen

_ANSWERS = 10.0  # seconds in which a scheduler answers, if it is there
_NOBODY = 60.0  # seconds without any worker after which none is waited for any more
_LOOKS = 0.5  # seconds between looks at what else there is to see than news
_NOT_SENT = ("stop", "enough")  # fields of a Job that mean something in one process only

_News = SimpleQueue[tuple[str, int, int] | Future]
"""A slot, its frames written and how many there will be; or a task that has ended."""


@contextmanager
def cluster(address: str) -> Iterator[Makers]:
    """Give the workers of the scheduler at `address`, such as tcp://127.0.0.1:8786.

    OptionError where none answers there, it has no worker, or a worker has not these versions of the tool and of the
    libraries that its pictures come from.
    """
    logging.getLogger("distributed.client").setLevel(logging.CRITICAL)  # what goes wrong is told here, in sentences
    try:
        client = Client(address, timeout=_ANSWERS, set_as_default=False)
    except (OSError, ValueError) as error:
        raise OptionError(
            f"--cluster: no scheduler answers at '{address}'; start one with 'dask scheduler' and give the address it "
            "tells, such as tcp://127.0.0.1:8786"
        ) from error
    with client:
        _require_workers(client, address)
        yield Cluster(client, address)


def _require_workers(client: Client, address: str) -> None:
    different = client.run(differences, versions(), on_error="return")
    if not different:
        raise OptionError(f"--cluster: the scheduler at '{address}' has no worker; start one: 'dask worker {address}'")
    for worker, found in sorted(different.items()):
        if found:
            told = f"cannot load it: {found}" if isinstance(found, Exception) else f"has {found}"
            raise OptionError(
                f"--cluster: every worker needs the same kenburns and libraries as this machine, and {worker} {told}"
            )


@dataclass(slots=True)
class Cluster(Makers):
    """The workers of a scheduler."""

    client: Client
    address: str
    _silent_since: float = field(default_factory=time.monotonic)

    def ready(self, job: Job) -> None:
        """Raise OptionError where a worker does not see the out folder and the photographs under the same paths."""
        whole = _with_whole_paths(job)
        seen = self.client.run(unseen, _run(whole), _one_a_folder(whole))
        for worker, path in sorted(seen.items()):
            if path:
                raise OptionError(
                    f"--cluster: the worker {worker} does not see '{path}' as this machine does; photographs and out "
                    "folder must lie on a disk that all share, under the same paths"
                )

    def make(self, slots: Sequence[PlannedSlot], job: Job, progress: Progress) -> Iterator[Made]:
        """Have the file of each slot written by the workers; see `Makers`."""
        whole, news = _with_whole_paths(job), _News()
        run = _run(whole)
        self.client.subscribe_topic(run.topic, lambda event: news.put(tuple(event[1])))
        groups = {f"{run.topic} {number}": group for number, group in enumerate(by_still(slots))}
        tasks = [
            self.client.submit(made_here, group, _shared(group, whole), run, key=key, pure=False, priority=-number)
            for number, (key, group) in enumerate(groups.items())
        ]
        for task in tasks:
            task.add_done_callback(news.put)
        try:
            yield from self._as_they_end(groups, news, job, progress)
            remove_parts(job.out, [slot.file for slot in slots])  # of workers that have died
        finally:
            self.client.unsubscribe_topic(run.topic)
            self.client.cancel(tasks)

    def _as_they_end(
        self, waiting: dict[str, list[PlannedSlot]], news: _News, job: Job, progress: Progress
    ) -> Iterator[Made]:
        begun: set[str] = set()
        while waiting:
            told = _next(news)
            if isinstance(told, Future):
                yield from _made(told, waiting.pop(told.key), self._no_answer)
            elif told is not None:
                begun.add(told[0])
                progress(*told)
            elif why := self._gone():
                yield from (Made(slot, error=why) for group in waiting.values() for slot in group)
                return
            if job.enough.is_set():
                waiting = {key: group for key, group in waiting.items() if any(slot.slot in begun for slot in group)}

    @property
    def _no_answer(self) -> str:
        return f"the scheduler at '{self.address}' no longer answers; run again when it does"

    def _gone(self) -> str:
        """Say who has been missing for too long for a run to go on; "" where nobody has."""
        try:
            nobody = not self.client.nthreads()
        except (OSError, RuntimeError, TimeoutError):
            return self._no_answer
        if not nobody:
            self._silent_since = time.monotonic()
        if time.monotonic() - self._silent_since < _NOBODY:
            return ""
        return f"no worker is left at '{self.address}'; start one and run again"


def _next(news: _News) -> tuple[str, int, int] | Future | None:
    try:
        return news.get(timeout=_LOOKS)
    except Empty:
        return None


def _made(task: Future, group: Sequence[PlannedSlot], no_answer: str) -> Sequence[Made]:
    """Return what a task has made; where it has no result, why not, for each of its slots."""
    try:
        made: list[Made] = task.result()
    except KilledWorker as error:
        why = f"{error.allowed_failures + 1} workers died one after another while they made it; their logs may say why"
        return [Made(slot, error=why) for slot in group]
    except CancelledError:  # which every task is whose scheduler is gone
        return [Made(slot, error=no_answer) for slot in group]
    return made


def _with_whole_paths(job: Job) -> Job:
    """Return a job that means the same to a process elsewhere."""
    photographs = {name: replace(one, path=one.path.absolute()) for name, one in job.photographs.items()}
    return replace(job, out=job.out.absolute(), photographs=photographs)


def _run(job: Job) -> Run:
    lock = lock_of(job.out)
    return Run(job.out, lock, versions(), f"kenburns {hashlib.sha256(lock).hexdigest()[:16]}")


def _one_a_folder(job: Job) -> list[tuple[Path, int]]:
    """Return one photograph of each folder, with its bytes."""
    paths = {photograph.path.parent: photograph.path for photograph in job.photographs.values()}
    return [(path, path.stat().st_size) for path in paths.values() if path.is_file()]


def _shared(group: Sequence[PlannedSlot], job: Job) -> dict[str, Any]:
    """Return the fields of a job that one group needs."""
    stills = {slot.still.file for slot in group if slot.still}
    narrow = replace(
        job,
        photographs={name: job.photographs[name] for name in stills & job.photographs.keys()},
        labels={slot.slot: job.labels[slot.slot] for slot in group if slot.slot in job.labels},
    )
    return {each.name: getattr(narrow, each.name) for each in fields(narrow) if each.name not in _NOT_SENT}
