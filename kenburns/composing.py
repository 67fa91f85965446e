"""One planned slot as a moviepy clip."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from .cards.look import rgb
from .cards.placeholder import placeholder
from .cards.wording import CardText
from .errors import OptionError, PhotographError
from .motion.geometry import Rect, bounds
from .plan.document import Plan, PlannedSlot
from .plan.views import slot_exposures
from .presets import card_look, codec
from .render.as_moviepy import moviepy_clip, raster_of
from .render.levels import Pyramid
from .render.source import photograph_pyramid, picture_pyramid
from .stills.open import inspect

if TYPE_CHECKING:
    from moviepy import VideoClip


def shot_clip(plan: Plan, slot: str, photographs: Path | str, presets: Path | None = None) -> VideoClip:
    """Return a slot of a plan as a moviepy `VideoClip`, frame for frame what `make` writes, handles included.

    `photographs`: the folder that the plan was made from; `presets`: the film's own, if it has any. OptionError for a
    slot that the plan does not have; PhotographError where the photograph cannot be read or is another.
    """
    planned = _slot(plan, slot)
    size, matte = plan.frame.size, rgb(plan.matte)
    if planned.still is None:
        exposures: list[tuple[Rect, ...]] = [(bounds(size),)] * (planned.frames + 2 * plan.handles)
        pyramid = _card(planned, plan, presets)
    else:
        exposures = slot_exposures(planned, plan.frame, plan.shutter)
        photograph = inspect(Path(photographs) / planned.still.file, planned.still.file)
        if photograph.sha256 != planned.still.sha256:
            raise PhotographError(f"'{photograph.name}' has changed since the plan was made; plan again")
        views = [view for exposure in exposures for view in exposure]
        intent = codec(plan.codec, presets).intent
        pyramid = photograph_pyramid(photograph, views, raster_of(size), matte, intent)
    return moviepy_clip(pyramid, exposures, size, plan.exact_rate, plan.kernel, matte)


def _slot(plan: Plan, name: str) -> PlannedSlot:
    for slot in plan.slots:
        if slot.slot == name:
            return slot
    raise OptionError(f"the plan has no slot '{name}'; it has {', '.join(slot.slot for slot in plan.slots)}")


def _card(slot: PlannedSlot, plan: Plan, presets: Path | None) -> Pyramid:
    if slot.card is None:
        raise OptionError(f"slot '{slot.slot}' has neither a still nor a card in the plan")
    picture, _ = placeholder(CardText(**slot.card.model_dump()), plan.frame.size, card_look(plan.card_look, presets))
    return picture_pyramid(np.asarray(picture), raster_of(plan.frame.size))
