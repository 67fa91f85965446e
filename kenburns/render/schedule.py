"""The clips and cards of one photograph, which is opened once for all its slots; wherever they are made.

Within a clip things overlap: one thread makes frames (helped by others with the rows of each), the encoder's own
threads encode, and the disk writes.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass, field
from functools import partial
from itertools import chain
from pathlib import Path
from threading import Event
from typing import Protocol

from ..cards.look import Look
from ..errors import KenburnsError, PhotographError, RenderError
from ..motion.geometry import Rect, bounds
from ..plan.document import PlannedFrame, PlannedSlot, PlannedWords
from ..plan.labels import Label
from ..plan.views import slot_exposures
from ..stills.open import Photograph
from .card_pictures import placeholder_picture
from .clip import Recipe, write_clip
from .lettering import Lettered, Letters, lettered
from .levels import Pyramid
from .machine import helpers, peak_memory_mb
from .source import photograph_pyramid, picture_pyramid
from .unchanged import read_unchanged

Progress = Callable[[str, int, int], None]
"""Called with a slot's name, the frames written, and how many there will be."""


@dataclass(frozen=True, slots=True)
class Made:
    """What became of one slot: remarks for a person, or the error that kept its file from being made.

    `seconds` it took from its first frame on; `memory_mb`: the most that the process which made it had used by then.
    """

    slot: PlannedSlot
    remarks: tuple[str, ...] = ()
    error: str | None = None
    seconds: float = 0.0
    memory_mb: float = 0.0


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


class Makers(Protocol):
    """Where the files of slots are made: on this machine (`lanes.Here`), or by the workers of a cluster."""

    def ready(self, job: Job) -> None:
        """Raise OptionError where this job's files cannot be made here; called before anything is."""

    def make(self, slots: Sequence[PlannedSlot], job: Job, progress: Progress) -> Iterator[Made]:
        """Write the file of each slot and tell what became of it, as it is done; one that fails keeps no other back.

        Nothing is told of slots that were not begun any more.
        """


def make_group(group: Sequence[PlannedSlot], job: Job, progress: Progress) -> Iterator[Made]:
    """Write the files of the slots of one photograph, or of one card, and tell what became of each."""
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


def _clips(slots: Sequence[PlannedSlot], job: Job, workers: Sequence[Executor], progress: Progress) -> Iterator[Made]:
    try:
        photograph, content = _planned(slots[0], job)
        how = job.recipe
        pyramid = read_unchanged(
            photograph,
            content,
            lambda: photograph_pyramid(photograph, _views(slots, job), how.raster, how.matte, how.intent),
        )
    except KenburnsError as error:
        yield from (Made(slot, error=str(error)) for slot in slots)
        return
    for slot in slots:
        if job.may_begin:
            yield _write(slot, pyramid, slot_exposures(slot, job.frame, job.shutter), job, workers, progress)


def _views(slots: Iterable[PlannedSlot], job: Job) -> Iterator[Rect]:
    """Yield every view that slots show; they are many, so nobody holds those of more than one slot."""
    for slot in slots:
        yield from chain(*slot_exposures(slot, job.frame, job.shutter))


def _words(slot: PlannedSlot, words: PlannedWords, job: Job, workers: Sequence[Executor], progress: Progress) -> Made:
    draw = partial(lettered, words, job.handles, job.look, job.recipe.raster)
    try:
        made = draw() if words.still is None else _over_still(slot, job, draw)
    except KenburnsError as error:
        return Made(slot, error=str(error))
    return _write(slot, made.pyramid, made.exposures, job, workers, progress, letters=made.letters)


def _over_still(slot: PlannedSlot, job: Job, draw: Callable[[Photograph], Lettered]) -> Lettered:
    photograph, content = _planned(slot, job)
    return read_unchanged(photograph, content, lambda: draw(photograph))


def _card(slot: PlannedSlot, job: Job, workers: Sequence[Executor], progress: Progress) -> Made:
    if slot.words is not None:
        return _words(slot, slot.words, job, workers, progress)
    if slot.card is None:
        return Made(slot, error=f"slot '{slot.slot}' has neither a still nor a card in the plan")
    try:
        picture, remarks = placeholder_picture(slot.card, job.frame.size, job.look)
    except ValueError as error:  # more words than the frame holds at any size
        return Made(slot, error=str(error))
    whole = bounds(job.frame.size)
    pyramid = picture_pyramid(picture, job.recipe.raster)
    return _write(slot, pyramid, [(whole,)] * (slot.frames + 2 * job.handles), job, workers, progress, remarks)


def _write(
    slot: PlannedSlot,
    pyramid: Pyramid,
    exposures: Sequence[Sequence[Rect]],
    job: Job,
    workers: Sequence[Executor],
    progress: Progress,
    remarks: tuple[str, ...] = (),
    letters: Sequence[Letters | None] = (),
) -> Made:
    def tell(done: int) -> None:
        if job.stop.is_set():
            raise RenderError("stopped")
        progress(slot.slot, done, len(exposures))

    begun = time.monotonic()
    try:
        label = job.labels.get(slot.slot)
        write_clip(job.out / slot.file, pyramid, exposures, job.recipe, workers, tell, label, letters)
    except (KenburnsError, OSError) as error:
        return Made(slot, error=f"'{slot.file}' could not be written: {error}")
    return Made(slot, remarks, seconds=time.monotonic() - begun, memory_mb=peak_memory_mb())


def _planned(slot: PlannedSlot, job: Job) -> tuple[Photograph, str]:
    """Return the photograph of a slot, and the content that it was planned with."""
    planned = slot.photograph
    if planned is None or planned.file not in job.photographs:
        raise PhotographError(f"the photograph of slot '{slot.slot}' is no longer there")
    return job.photographs[planned.file], planned.sha256
