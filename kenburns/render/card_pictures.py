"""The cards of a plan as still pictures: placeholders, and a few moments of each card of words."""

from __future__ import annotations

import numpy as np

from ..cards.drawing import Pixels
from ..cards.look import Look, rgb
from ..cards.placeholder import placeholder
from ..cards.roll import roll_picture
from ..cards.screens import screen_picture
from ..cards.wording import CardText
from ..motion.geometry import Size
from ..plan.document import PlannedCard, PlannedSlot, PlannedWords
from ..stills.open import Photograph
from ..stills.small import small_rgb
from .lettering import SMALL


def card_pictures(slot: PlannedSlot, frame: Size, look: Look, photograph: Photograph | None = None) -> list[Pixels]:
    """Return what a slot's card shows, RGB pictures of the frame's size: one of a placeholder, else up to three.

    `photograph` is the one that a ground is softened from. ValueError for a slot without a card, and where its words do
    not fit; PhotographError where the photograph cannot be read.
    """
    if slot.words is not None:
        still = None if photograph is None else small_rgb(photograph, SMALL, rgb(look.ground))
        return words_pictures(slot.words, frame, look, still)
    if slot.card is None:
        raise ValueError(f"slot '{slot.slot}' has no card")
    return [placeholder_picture(slot.card, frame, look)[0]]


def placeholder_picture(card: PlannedCard, frame: Size, look: Look) -> tuple[Pixels, tuple[str, ...]]:
    """Return a placeholder, and remarks for its reader; ValueError where its words do not fit."""
    picture, remarks = placeholder(CardText(**card.model_dump()), frame, look)
    return np.asarray(picture, np.uint8), remarks


def words_pictures(words: PlannedWords, frame: Size, look: Look, still: Pixels | None) -> list[Pixels]:
    """Return up to three screens of a card of words, the first, one in the middle and the last; or of a roll."""
    screens = [planned.screen() for planned in words.screens]
    if not words.step:
        places = sorted({0, len(screens) // 2, len(screens) - 1})
        return [screen_picture(screens[place], frame, look, still) for place in places]
    tall = roll_picture(screens[0], frame, look)
    tops = [(len(tall) - frame.height) * share // 4 for share in (1, 2, 3)]
    return [tall[top : top + frame.height] for top in tops]
