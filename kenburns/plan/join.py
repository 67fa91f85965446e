"""The join: cut list, photographs, details and hand edits become a plan. No pixel is touched here."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial

from ..cutlist.ids import file_stem
from ..cutlist.match import Match
from ..cutlist.slots import CutList, Slot
from ..errors import ShotError
from ..film import Film, SlotEdit, StillEdit
from ..motion.geometry import Rect, Size, bounds, box_around
from ..motion.headroom import headroom
from ..motion.shots import parse_kind
from ..motion.timebase import format_timecode, rate_text
from ..stills.open import Photograph
from .choose import CUT, choose_kind
from .delivery import Delivery
from .document import Plan, PlannedCard, PlannedFrame, PlannedSlot, PlannedStill
from .material import Material
from .moves import Moves, chosen_details, possible_kinds, slot_shots

_FILLING = ("hold", "pan", "tilt")


def plan_film(
    delivery: Delivery,
    cut_list: CutList,
    matches: Sequence[Match],
    material: Material,
    film: Film,
    moves: Mapping[str, str] | None = None,
    known: Moves | None = None,
) -> Plan:
    """Return the plan of all slots of the cut list, in its order; `matches` has one entry a slot.

    Slots that want a card of words are placeholders until `screen_words.py` has set their words.
    `moves`: kinds already decided on, by slot, for slots to which nobody has given another: those of an earlier cut, or
    of another delivery. `known`: what is remembered of moves.
    """
    decided, memory = moves or {}, known or Moves()
    slots: list[PlannedSlot] = []
    before: frozenset[str] = frozenset()
    for slot, match in zip(cut_list.slots, matches, strict=True):
        wish = _edited(slot, film.slot(slot.id), delivery.rate)
        choose = partial(_choose, wish, delivery, decided.get(slot.id), before)
        planned = _plan_slot(wish, match, delivery, cut_list.drop, material, film, choose, memory)
        before = _moves(planned)
        slots.append(planned)
    return Plan(
        title=delivery.title,
        frame=PlannedFrame(width=delivery.frame.width, height=delivery.frame.height),
        rate=rate_text(delivery.rate),
        drop=cut_list.drop,
        codec=delivery.codec,
        card_look=delivery.card_look,
        matte=delivery.matte,
        kernel=delivery.kernel,
        handles=delivery.handles,
        shutter=delivery.pacing.shutter,
        slots=tuple(slots),
    )


Choose = Callable[[Sequence[str]], str]
"""From the kinds for which a photograph has room to the one that its slot gets."""


def _choose(
    slot: Slot, delivery: Delivery, decided: str | None, before: Collection[str], possible: Sequence[str]
) -> str:
    return decided or choose_kind(slot.id, possible, before, float(slot.length / delivery.rate))


def _moves(slot: PlannedSlot) -> frozenset[str]:
    """Return what the slot after this one had better not repeat."""
    return frozenset([shot.kind for shot in slot.shots] + [CUT] * (len(slot.shots) > 1))


def with_edits(slots: Iterable[Slot], film: Film, rate: Fraction) -> tuple[Slot, ...]:
    """Return the slots with what film.toml says of still, shot, cues and note in the place of the cut list's word."""
    return tuple(_edited(slot, film.slot(slot.id), rate) for slot in slots)


def _edited(slot: Slot, edit: SlotEdit, rate: Fraction) -> Slot:
    if not edit.model_fields_set:
        return slot
    return replace(
        slot,
        still=edit.still or slot.still,
        shot=edit.shot or slot.shot,
        note=edit.note or slot.note,
        card=edit.card or slot.card,
        words=edit.words or slot.words,
        cues=tuple(round(Fraction(str(moment)) * rate) for moment in edit.cue) or slot.cues,
    )


def _plan_slot(
    slot: Slot,
    match: Match,
    delivery: Delivery,
    drop: bool,
    material: Material,
    film: Film,
    choose: Choose,
    known: Moves,
) -> PlannedSlot:
    common = PlannedSlot(
        slot=slot.id,
        file=f"{file_stem(slot.id)}.{delivery.extension}",
        kind="card",
        start=slot.start,
        frames=slot.length,
        wanted=slot.wanted,
        caption=slot.caption,
        credit=slot.credit,
        note=slot.note,
    )
    photograph = material.photographs.get(match.file) if match.file and match.certain else None
    if photograph is None or slot.card:
        return _card(common, match, delivery, drop)
    return _clip(common, slot, match, photograph, delivery, material, film, choose, known)


def _card(slot: PlannedSlot, match: Match, delivery: Delivery, drop: bool) -> PlannedSlot:
    reason = _missing(match)

    def timecode(frame: int) -> str:
        return format_timecode(frame, delivery.rate, drop=drop)

    card = PlannedCard(
        slot=slot.slot,
        wanted=slot.wanted or slot.slot,
        start_timecode=timecode(slot.start),
        end_timecode=timecode(slot.start + slot.frames),
        length=f"{float(slot.frames / delivery.rate):.2f} s · {slot.frames} frames",
        reason=reason,
        note=slot.note,
    )
    return slot.model_copy(update={"card": card, "flags": (reason,)})


def _missing(match: Match) -> str:
    if match.file is None:
        return "no photograph yet"
    names = " or ".join(f"'{name}' ({score:.0f})" for name, score in match.candidates[:2])
    return f"uncertain match: perhaps {names}"


def _clip(
    slot: PlannedSlot,
    wish: Slot,
    match: Match,
    photograph: Photograph,
    delivery: Delivery,
    material: Material,
    film: Film,
    choose: Choose,
    known: Moves,
) -> PlannedSlot:
    edit, hand = film.slot(wish.id), film.still(photograph.name)
    proposed = tuple(material.details.get(photograph.name, ()))
    details = chosen_details(proposed, edit)
    work = material.work(photograph.name)
    kind = _kind(wish, photograph, details, work, delivery, choose, known)
    shots = slot_shots(wish, edit, kind.name, photograph, details, delivery, material, known)
    return slot.model_copy(
        update={
            "kind": "clip",
            "still": planned_still(photograph, match),
            "move": kind.name if kind.chosen and not edit.stops else "",
            "shots": shots,
            "credit": slot.credit or hand.credit,
            "flags": (
                *kind.flags,
                *_not_there(edit, proposed, photograph),
                *_outside(hand, photograph),
                *_too_small(
                    photograph, material.shown(photograph.name), _closeness(kind.name, edit, delivery), delivery
                ),
            ),
        }
    )


def planned_still(photograph: Photograph, match: Match) -> PlannedStill:
    """Write down a photograph, and how it was found."""
    return PlannedStill(
        file=photograph.name,
        sha256=photograph.sha256,
        width=photograph.size.width,
        height=photograph.size.height,
        matched_by=match.by,
        score=match.score,
        corners=photograph.corners,
    )


def _not_there(edit: SlotEdit, details: Sequence[Rect], photograph: Photograph) -> tuple[str, ...]:
    missing = [str(number) for number in edit.details if number > len(details)]
    count = f"{len(details)} detail{'s' * (len(details) != 1)}"
    return (f"detail {' and '.join(missing)} is not there: '{photograph.name}' has {count}",) if missing else ()


def _outside(hand: StillEdit, photograph: Photograph) -> tuple[str, ...]:
    """Say which areas set by hand leave the picture, as they do when a smaller file takes the place of the first."""
    outline = box_around(hand.outline) if hand.outline else None
    named = [("outline", outline), *((f"detail {n}", area) for n, area in enumerate(hand.details, start=1))]
    picture, size = bounds(photograph.size), photograph.size
    return tuple(
        f"'{photograph.name}' is {size.width}×{size.height} px and its {name} set by hand ends at "
        f"{area.right:g}, {area.bottom:g}; what lies outside the picture is left out"
        for name, area in named
        if area is not None and not area.within(picture)
    )


@dataclass(frozen=True, slots=True)
class _Kind:
    name: str
    chosen: bool
    flags: tuple[str, ...] = ()


def _kind(
    wish: Slot,
    photograph: Photograph,
    details: tuple[Rect, ...],
    work: Rect | None,
    delivery: Delivery,
    choose: Choose,
    known: Moves,
) -> _Kind:
    flags: tuple[str, ...] = ()
    if wish.shot:
        try:
            return _Kind(parse_kind(wish.shot), chosen=False)
        except ShotError as error:
            flags = (f"{error}; a move was chosen instead",)
    possible = possible_kinds(photograph.size, details, work, delivery, known)
    return _Kind(choose(possible), chosen=True, flags=flags)


def _closeness(kind: str, edit: SlotEdit, delivery: Delivery) -> float:
    """Return the zoom that a photograph is to bear: hold, pan and tilt fill the frame, other moves go closer.

    Stops set by hand go as close as they say, and the 1:1 floor holds them.
    """
    return 1.0 if edit.stops or kind in _FILLING else delivery.zoom


def _too_small(photograph: Photograph, shown: Size, zoom: float, delivery: Delivery) -> tuple[str, ...]:
    """Tell of a photograph without the pixels for its move."""
    room = headroom(photograph.size, delivery.frame, zoom, shown)
    return () if room.verdict == "good" else (f"'{photograph.name}' {room.reason}",)
