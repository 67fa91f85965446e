"""All clips and cards of a plan, one after another; each photograph is opened once for all its slots.

Within a clip three things overlap: one thread makes frames (helped by others with the rows of each), the encoder's own
threads encode, and the disk writes.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ..cards.look import Look
from ..cards.placeholder import placeholder
from ..cards.wording import CardText
from ..errors import KenburnsError, PhotographError
from ..motion.geometry import Rect, Size, bounds
from ..plan.document import PlannedFrame, PlannedSlot
from ..plan.views import slot_exposures
from ..stills.open import Photograph, open_pixels
from .ahead import ahead
from .clip import Recipe, write_clip
from .levels import Pyramid, area_to_read, needed_areas
from .pyramid import build

_STRIPS_AHEAD = 2  # decoded while the planes are built from those before

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


def render(slots: Sequence[PlannedSlot], job: Job, progress: Progress) -> Iterator[Made]:
    """Write the file of each slot and tell what became of it; one that fails does not keep the others back."""
    with ExitStack() as stack:
        workers = [stack.enter_context(ThreadPoolExecutor(1)) for _ in range(helpers())]
        for group in by_still(slots):
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


def helpers() -> int:
    """Return how many threads help the one that makes frames; the encoder brings its own."""
    return max((os.cpu_count() or 1) // 2 - 1, 0)


def _clips(slots: Sequence[PlannedSlot], job: Job, workers: Sequence[Executor], progress: Progress) -> Iterator[Made]:
    frames = {slot.slot: slot_exposures(slot, job.frame, job.shutter) for slot in slots}
    try:
        photograph = _unchanged(slots[0], job)
        views = [view for exposures in frames.values() for exposure in exposures for view in exposure]
        pyramid = photograph_pyramid(photograph, views, job.recipe)
    except KenburnsError as error:
        yield from (Made(slot, error=str(error)) for slot in slots)
        return
    for slot in slots:
        yield _write(slot, pyramid, frames[slot.slot], job, workers, progress)


def _card(slot: PlannedSlot, job: Job, workers: Sequence[Executor], progress: Progress) -> Made:
    if slot.card is None:
        return Made(slot, error=f"slot '{slot.slot}' has neither a still nor a card in the plan")
    try:
        picture, remarks = placeholder(CardText(**slot.card.model_dump()), job.frame.size, job.look)
    except ValueError as error:  # more words than the frame holds at any size
        return Made(slot, error=str(error))
    whole = bounds(job.frame.size)
    pyramid = _picture_pyramid(np.asarray(picture), job)
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
        progress(slot.slot, done, len(exposures))

    try:
        write_clip(job.out / slot.file, pyramid, exposures, job.recipe, workers, tell)
    except (KenburnsError, OSError) as error:
        return Made(slot, error=f"'{slot.file}' could not be written: {error}")
    return Made(slot, remarks)


def photograph_pyramid(photograph: Photograph, views: Sequence[Rect], recipe: Recipe) -> Pyramid:
    """Return what `views` of a photograph are drawn from; PhotographError where it cannot be read."""
    areas = needed_areas(views, recipe.raster.frame, photograph.size)
    area = area_to_read(areas, photograph.size)
    strips = open_pixels(photograph, recipe.matte, recipe.intent).strips(
        area.left, area.top, area.right - area.left, area.bottom - area.top
    )
    decoded = ahead((strip for _, strip in strips), _STRIPS_AHEAD)
    return build(decoded, areas, photograph.size, recipe.raster.sampling)


def _unchanged(slot: PlannedSlot, job: Job) -> Photograph:
    """Return the photograph that was planned with; PhotographError when the file is another one by now."""
    planned = slot.still
    if planned is None or planned.file not in job.photographs:
        raise PhotographError(f"the photograph of slot '{slot.slot}' is no longer there")
    photograph = job.photographs[planned.file]
    if _content_hash(photograph) != planned.sha256:
        raise PhotographError(f"'{photograph.name}' has changed since the plan was made; run again")
    return photograph


def _content_hash(photograph: Photograph) -> str:
    try:
        with photograph.path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise PhotographError(f"'{photograph.name}' can no longer be read: {error.strerror}") from error


def _picture_pyramid(picture: NDArray[np.uint8], job: Job) -> Pyramid:
    size = Size(picture.shape[1], picture.shape[0])
    areas = needed_areas([bounds(size)], size, size)
    return build([picture], areas, size, job.recipe.raster.sampling)
