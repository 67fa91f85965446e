"""Words on screen: the cards of words that slots ask for, and the captions that go over clips.

What a card says is decided here, screen by screen and frame by frame; drawing it decides nothing. A card that cannot be
set (no words, too many, a character that no typeface has) stays a placeholder that says why.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial

from .card_wishes import Groups, caption_of, card_of
from .cards.ground import drift
from .cards.kinds import Kind
from .cards.look import Look
from .cards.over_picture import overlay_screen
from .cards.roll import roll
from .cards.screens import reading_remarks, screen_frames, screens_of
from .cutlist.match import Match
from .cutlist.slots import CARDS, Slot
from .cutlist.works import Work
from .deliver.credits import works_by_file
from .owners import works_of_slots
from .plan.document import Plan, PlannedScreen, PlannedSlot, PlannedStill, PlannedWords
from .plan.join import planned_still
from .stills.open import Photograph


@dataclass(frozen=True, slots=True)
class Lettering:
    """What the words of a film are set by.

    `limit`: frame pixels a frame that a drifting ground may move, None for no limit; `works`: the work that a slot is
    about, and `grounds`: the photograph it names, by slot id; `captions`: whether clips get captions over them.
    """

    look: Look
    limit: float | None = None
    works: Mapping[str, Work] = field(default_factory=dict)
    grounds: Mapping[str, PlannedStill] = field(default_factory=dict)
    captions: bool = False


def works_shown(plan: Plan, wishes: Sequence[Slot], works: Sequence[Work]) -> dict[str, Work]:
    """Return the work that each slot is about, by slot id: the one it asks for, or the one on its photograph."""
    wanted = works_of_slots(wishes, works)
    on = works_by_file([slot.still.file for slot in plan.slots if slot.still], works)
    shown = {slot.slot: on[slot.still.file][0] for slot in plan.slots if slot.still and slot.still.file in on}
    return {**shown, **wanted}


def unused_words(wishes: Sequence[Slot]) -> tuple[str, ...]:
    """Tell of slots that have words and no card to show them on."""
    return tuple(
        f"slot '{wish.id}' has words and no card for them; name one in 'card': {', '.join(CARDS)}"
        for wish in wishes
        if wish.words and not wish.card
    )


def grounds(
    wishes: Sequence[Slot], matches: Sequence[Match], photographs: Mapping[str, Photograph]
) -> dict[str, PlannedStill]:
    """Return the photographs that cards of words name, to be softened behind the words, by slot id."""
    found = ((wish, match, photographs.get(match.file or "")) for wish, match in zip(wishes, matches, strict=True))
    return {
        wish.id: planned_still(photograph, match)
        for wish, match, photograph in found
        if wish.card and match.certain and photograph
    }


def with_words(plan: Plan, wishes: Sequence[Slot], by: Lettering, named: Callable[[Plan], Groups]) -> Plan:
    """Return the plan with the words of its slots; `wishes` has one entry a slot.

    `named` gives the credits of the photographs that a plan shows.
    """
    if not any(wish.card in ("credits", "roll") for wish in wishes):
        return _set_all(plan, wishes, by, ())
    # Twice, as a photograph that is softened behind words is to be credited too.
    return _set_all(plan, wishes, by, named(_set_all(plan, wishes, by, named(plan))))


def _set_all(plan: Plan, wishes: Sequence[Slot], by: Lettering, groups: Groups) -> Plan:
    slots = tuple(_set(slot, wish, plan, by, groups) for slot, wish in zip(plan.slots, wishes, strict=True))
    return plan.model_copy(update={"slots": slots})


def _set(slot: PlannedSlot, wish: Slot, plan: Plan, by: Lettering, groups: Groups) -> PlannedSlot:
    try:
        if wish.card:
            return _with_card(slot, wish, plan, by, groups)
        return _with_caption(slot, plan, by) if by.captions and slot.kind == "clip" else slot
    except ValueError as wrong:
        if slot.card is None:
            return slot.model_copy(update={"flags": (*slot.flags, str(wrong))})
        card = slot.card.model_copy(update={"reason": str(wrong), "wanted": wish.label})
        return slot.model_copy(update={"card": card, "flags": (card.reason,), "wanted": wish.label})


def _with_card(slot: PlannedSlot, wish: Slot, plan: Plan, by: Lettering, groups: Groups) -> PlannedSlot:
    card = card_of(wish, by.works.get(wish.id), groups)
    make = _rolled if wish.card == "roll" else partial(_standing, wish.card)
    words, flags = make(card, slot, plan, by)
    return slot.model_copy(update={"card": None, "words": words, "flags": flags, "wanted": wish.label})


def _standing(
    name: str, card: Kind, slot: PlannedSlot, plan: Plan, by: Lettering
) -> tuple[PlannedWords, tuple[str, ...]]:
    frame, rate = plan.frame.size, plan.exact_rate
    screens = screens_of(card, frame, by.look)
    frames = screen_frames(screens, slot.frames)
    still = by.grounds.get(slot.slot) if by.look.soft else None
    moved = drift(by.look, frame, slot.frames + 2 * plan.handles, by.limit).closeness if still else 1.0
    # Shared out in whole frames, a screen may be a frame short of its part.
    slack = float(1 / rate) if len(screens) > 1 else 0.0
    flags = reading_remarks(screens, [float(count / rate) for count in frames], card.called, slack)
    more = (f"its text goes on over {len(screens)} cards",) if len(screens) > 1 else ()
    planned = tuple(PlannedScreen.of(screen, count) for screen, count in zip(screens, frames, strict=True))
    return PlannedWords(card=name, screens=planned, still=still, closest=moved, notes=more), tuple(flags)


def _rolled(card: Kind, slot: PlannedSlot, plan: Plan, by: Lettering) -> tuple[PlannedWords, tuple[str, ...]]:
    rolls = roll(card, plan.frame.size, by.look, slot.frames, plan.exact_rate)
    said = f"it rolls by {rolls.step} rows a frame and is through after {rolls.frames} of its {slot.frames} frames"
    screen = PlannedScreen.of(rolls.screen, slot.frames)
    return PlannedWords(card="roll", screens=(screen,), step=rolls.step, notes=(said,)), rolls.remarks


def _with_caption(slot: PlannedSlot, plan: Plan, by: Lettering) -> PlannedSlot:
    caption = caption_of(slot.caption, by.works.get(slot.slot))
    if caption is None:
        return slot
    screen = overlay_screen(caption, plan.frame.size, by.look)
    flags = reading_remarks([screen], [float(slot.frames / plan.exact_rate)], caption.called)
    overlay = PlannedScreen.of(screen, slot.frames)
    return slot.model_copy(update={"overlay": overlay, "flags": (*slot.flags, *flags)})
