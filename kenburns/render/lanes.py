"""All clips and cards of a plan made on this machine.

Photographs are worked side by side, as many as the machine has use for: while one clip ends or a photograph is opened,
the other keeps the processor busy.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from queue import SimpleQueue

from ..plan.document import PlannedSlot
from .machine import side_by_side
from .schedule import Job, Made, Makers, Progress, by_still, make_group


class Here(Makers):
    """This machine, which is always ready."""

    def ready(self, job: Job) -> None:
        """Raise nothing."""

    def make(self, slots: Sequence[PlannedSlot], job: Job, progress: Progress) -> Iterator[Made]:
        """Write the file of each slot, in lanes side by side; see `Makers`."""
        return render(slots, job, progress)


def render(slots: Sequence[PlannedSlot], job: Job, progress: Progress) -> Iterator[Made]:
    """Write the file of each slot and tell what became of it, as it is done; one that fails keeps no other back.

    Nothing is told of slots that were not begun any more.
    """
    made: SimpleQueue[Made | None] = SimpleQueue()
    groups = by_still(slots)

    def work(group: list[PlannedSlot]) -> None:
        try:
            for one in make_group(group, job, progress):
                made.put(one)
        except BaseException:  # an interrupt by the person too: clips under way end at their next frame
            job.stop.set()
            raise
        finally:
            made.put(None)

    with ThreadPoolExecutor(side_by_side(), thread_name_prefix="kenburns-slot") as lanes:
        try:
            running = [lanes.submit(work, group) for group in groups]
            yield from _until_all_ended(made, len(running))
            for one in running:
                one.result()
        except BaseException:
            job.stop.set()
            raise
        finally:
            lanes.shutdown(cancel_futures=True)


def _until_all_ended(made: SimpleQueue[Made | None], groups: int) -> Iterator[Made]:
    """Yield what is made as soon as it is; each group ends with a None."""
    while groups:
        one = made.get()
        if one is None:
            groups -= 1
        else:
            yield one
