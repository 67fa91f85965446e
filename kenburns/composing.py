"""One planned slot as a moviepy clip."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from .cards.look import rgb
from .errors import OptionError, PhotographError
from .motion.geometry import Rect, bounds
from .plan.document import Plan, PlannedSlot, PlannedStill
from .plan.views import slot_exposures
from .presets import card_look, codec
from .render.as_moviepy import moviepy_clip, raster_of
from .render.card_pictures import card_pictures
from .render.lettering import Letters, lettered
from .render.source import photograph_pyramid, picture_pyramid
from .stills.open import Photograph, inspect

if TYPE_CHECKING:
    from moviepy import VideoClip


def shot_clip(plan: Plan, slot: str, photographs: Path | str, presets: Path | None = None) -> VideoClip:
    """Return a slot of a plan as a moviepy `VideoClip`, frame for frame what `make` writes, handles included.

    `photographs`: the folder that the plan was made from; `presets`: the film's own, if it has any. OptionError for a
    slot that the plan does not have; PhotographError where the photograph cannot be read or is another.
    """
    planned = _slot(plan, slot)
    size, matte = plan.frame.size, rgb(plan.matte)
    photograph = None if planned.photograph is None else _unchanged(planned.photograph, Path(photographs))
    look, raster = card_look(plan.card_look, presets), raster_of(size)
    letters: tuple[Letters | None, ...] = ()
    exposures: Sequence[tuple[Rect, ...]]
    if planned.words is not None:
        made = lettered(planned.words, plan.handles, look, raster, photograph)
        pyramid, exposures, letters = made.pyramid, made.exposures, made.letters
    elif photograph is None:
        exposures = [(bounds(size),)] * (planned.frames + 2 * plan.handles)
        pyramid = picture_pyramid(card_pictures(planned, size, look)[0], raster)
    else:
        exposures = slot_exposures(planned, plan.frame, plan.shutter)
        views = [view for exposure in exposures for view in exposure]
        pyramid = photograph_pyramid(photograph, views, raster, matte, codec(plan.codec, presets).intent)
    return moviepy_clip(pyramid, exposures, size, plan.exact_rate, plan.kernel, matte, letters)


def _slot(plan: Plan, name: str) -> PlannedSlot:
    for slot in plan.slots:
        if slot.slot == name:
            return slot
    raise OptionError(f"the plan has no slot '{name}'; it has {', '.join(slot.slot for slot in plan.slots)}")


def _unchanged(planned: PlannedStill, folder: Path) -> Photograph:
    photograph = inspect(folder / planned.file, planned.file)
    if photograph.sha256 != planned.sha256:
        raise PhotographError(f"'{photograph.name}' has changed since the plan was made; plan again")
    return photograph
