"""All clips and cards of a plan; each photograph is opened once for all its slots.

Within a clip things overlap: one thread makes frames (helped by others with the rows of each), the encoder's own
threads encode, and the disk writes. Photographs are worked side by side, as many as the machine has use for: while one
clip ends or a photograph is opened, the other keeps the processor busy.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path
from queue import SimpleQueue
from threading import Event

import numpy as np

from ..cards.look import Look
from ..cards.placeholder import placeholder
from ..cards.wording import CardText
from ..errors import KenburnsError, PhotographError, RenderError
from ..motion.geometry import Rect, bounds
from ..plan.document import PlannedFrame, PlannedSlot
from ..plan.labels import Label
from ..plan.views import slot_exposures
from ..stills.open import Photograph
from .clip import Recipe, write_clip
from .levels import Pyramid
from .source import photograph_pyramid, picture_pyramid
from .unchanged import read_unchanged

Progress = Callable[[str, int, int], None]
"""Called with a slot's name, the frames written, and how many there will be."""


@dataclass(frozen=True, slots=True)
class Made:
    """What became of one slot: remarks for a person, or the error that kept its file from being made."""

    slot: PlannedSlot
    remarks: tuple[str, ...] = ()
    error: str | None = None


@dataclass(frozen=True, slots=True)
class Job:
    """What the slots of one plan have in common."""

    frame: PlannedFrame
    recipe: Recipe
    look: Look
    handles: int
    shutter: float
    photographs: Mapping[str, Photograph]
    out: Path
    labels: Mapping[str, Label] = field(default_factory=dict)
    stop: Event = field(default_factory=Event)
    """Set to end the work at the next frame; clips that are not finished are not written."""
    enough: Event = field(default_factory=Event)
    """Set to begin no further slot; those under way are finished."""

    @property
    def may_begin(self) -> bool:
        """Whether a further slot is begun."""
        return not (self.stop.is_set() or self.enough.is_set())


def render(slots: Sequence[PlannedSlot], job: Job, progress: Progress) -> Iterator[Made]:
    """Write the file of each slot and tell what became of it, as it is done; one that fails keeps no other back.

    Nothing is told of slots that were not begun any more.
    """
    made: SimpleQueue[Made | None] = SimpleQueue()
    groups = by_still(slots)

    def work(group: list[PlannedSlot]) -> None:
        try:
            for one in _made(group, job, progress):
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


def _made(group: list[PlannedSlot], job: Job, progress: Progress) -> Iterator[Made]:
    if not job.may_begin:
        return
    with ExitStack() as stack:
        workers = [stack.enter_context(ThreadPoolExecutor(1)) for _ in range(helpers())]
        if group[0].still is None:
            yield from (_card(slot, job, workers, progress) for slot in group)
        else:
            yield from _clips(group, job, workers, progress)


def by_still(slots: Iterable[PlannedSlot]) -> list[list[PlannedSlot]]:
    """Return the slots grouped by photograph, groups and slots in film order; each card is a group of its own."""
    groups: dict[str, list[PlannedSlot]] = {}
    for slot in slots:
        key = f"still {slot.still.file}" if slot.still else f"card {slot.slot}"
        groups.setdefault(key, []).append(slot)
    return list(groups.values())


def side_by_side() -> int:
    """Return how many photographs are worked at once: two keep a small machine busy, more fill a large one."""
    processors = os.cpu_count() or 1
    return 1 if processors == 1 else max(2, min(processors // 4, 4))


def helpers() -> int:
    """Return how many threads help each one that makes frames; the encoder brings its own."""
    return max((os.cpu_count() or 1) // (2 * side_by_side()) - 1, 0)


def _clips(slots: Sequence[PlannedSlot], job: Job, workers: Sequence[Executor], progress: Progress) -> Iterator[Made]:
    frames = {slot.slot: slot_exposures(slot, job.frame, job.shutter) for slot in slots}
    try:
        photograph, content = _planned(slots[0], job)
        views = [view for exposures in frames.values() for exposure in exposures for view in exposure]
        how = job.recipe
        pyramid = read_unchanged(
            photograph, content, lambda: photograph_pyramid(photograph, views, how.raster, how.matte, how.intent)
        )
    except KenburnsError as error:
        yield from (Made(slot, error=str(error)) for slot in slots)
        return
    for slot in slots:
        if job.may_begin:
            yield _write(slot, pyramid, frames[slot.slot], job, workers, progress)


def _card(slot: PlannedSlot, job: Job, workers: Sequence[Executor], progress: Progress) -> Made:
    if slot.card is None:
        return Made(slot, error=f"slot '{slot.slot}' has neither a still nor a card in the plan")
    try:
        picture, remarks = placeholder(CardText(**slot.card.model_dump()), job.frame.size, job.look)
    except ValueError as error:  # more words than the frame holds at any size
        return Made(slot, error=str(error))
    whole = bounds(job.frame.size)
    pyramid = picture_pyramid(np.asarray(picture), job.recipe.raster)
    return _write(slot, pyramid, [(whole,)] * (slot.frames + 2 * job.handles), job, workers, progress, remarks)


def _write(
    slot: PlannedSlot,
    pyramid: Pyramid,
    exposures: Sequence[Sequence[Rect]],
    job: Job,
    workers: Sequence[Executor],
    progress: Progress,
    remarks: tuple[str, ...] = (),
) -> Made:
    def tell(done: int) -> None:
        if job.stop.is_set():
            raise RenderError("stopped")
        progress(slot.slot, done, len(exposures))

    try:
        write_clip(job.out / slot.file, pyramid, exposures, job.recipe, workers, tell, job.labels.get(slot.slot))
    except (KenburnsError, OSError) as error:
        return Made(slot, error=f"'{slot.file}' could not be written: {error}")
    return Made(slot, remarks)


def _planned(slot: PlannedSlot, job: Job) -> tuple[Photograph, str]:
    """Return the photograph of a slot, and the content that it was planned with."""
    planned = slot.still
    if planned is None or planned.file not in job.photographs:
        raise PhotographError(f"the photograph of slot '{slot.slot}' is no longer there")
    return job.photographs[planned.file], planned.sha256
