"""How many pixels the shot that a slot wants needs of its picture, in one frame."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from .cutlist.slots import Slot
from .errors import ShotError
from .film import Film
from .motion.geometry import Rect, Size, containing
from .motion.headroom import headroom
from .motion.shots import parse_kind
from .plan.document import PlannedSlot

_FILLING = ("hold", "pan", "tilt")
_ON_FIRST_DETAIL = ("push in", "pull out", "detail", "whole, then detail")


@dataclass(frozen=True, slots=True)
class Need:
    """What one shot needs of one picture.

    `factor`: how many times as many pixels a side as it has, above 1 where it falls short; `ask`: the factor to ask
    for, larger where the shot is still open. `picture`: the least size of a picture that is not there. `shot` is the
    kind, "" for an open one, `closest` how close it goes, in words.
    """

    shot: str
    closest: str
    factor: Fraction
    ask: Fraction
    picture: Size


def shot_need(slot: PlannedSlot, wish: Slot, film: Film, frame: Size, zoom: Fraction, shown: Size) -> Need:
    """Return what a clip needs of its photograph, of which `shown` is the work's size in pixels."""
    edit, said = film.slot(wish.id), _said(wish)
    kind = said or slot.move or slot.shots[0].kind
    if edit.stops:
        return _of_views(edit.stops, slot.shots[0].kind, frame, shown)
    views = _details_by_hand(slot, wish, film, kind)
    closer = _of_views(views, kind, frame, shown) if views else None
    plain = _at_zoom(kind, _zoom_of(kind, zoom), frame, shown)
    if closer is not None and closer.factor >= plain.factor:
        return closer
    if plain.factor > 1 and not said:
        open_shot = _at_zoom("", zoom, frame, shown)
        return Need("", open_shot.closest, plain.factor, open_shot.factor, open_shot.picture)
    return plain


def picture_need(wish: Slot, frame: Size, zoom: Fraction, shape: Fraction | None) -> Need:
    """Return what a slot needs of a picture that is not there; `shape` is the work's width over height, if known."""
    kind = _said(wish)
    asked = _zoom_of(kind, zoom)
    least = scaled(frame, asked)
    if shape is not None:
        height = max(Fraction(least.height), least.width / shape)
        least = Size(math.ceil(height * shape), math.ceil(height))
    return Need(kind, _closest(asked), asked, asked, least)


def scaled(size: Size, factor: Fraction) -> Size:
    """Return the size times the factor, each side rounded up to a whole pixel."""
    return Size(math.ceil(size.width * factor), math.ceil(size.height * factor))


def _said(wish: Slot) -> str:
    """Return the kind that a person has named, "" for none or one that is not known."""
    try:
        return parse_kind(wish.shot) if wish.shot else ""
    except ShotError:
        return ""


def _zoom_of(kind: str, zoom: Fraction) -> Fraction:
    return Fraction(1) if kind in _FILLING else zoom


def _at_zoom(kind: str, zoom: Fraction, frame: Size, shown: Size) -> Need:
    room = headroom(shown, frame, zoom)
    factor = zoom / min(Fraction(shown.width, frame.width), Fraction(shown.height, frame.height))
    return Need(kind, _closest(zoom), factor, factor, room.needed or shown)


def _closest(zoom: Fraction) -> str:
    return "filled" if zoom == 1 else f"at zoom {float(zoom):g}"


def _details_by_hand(slot: PlannedSlot, wish: Slot, film: Film, kind: str) -> tuple[Rect, ...]:
    """Return the details set by hand that a shot of this kind goes to; those proposed bear 1:1 by themselves."""
    if slot.still is None:
        return ()
    details = film.still(slot.still.file).details
    chosen = tuple(details[number - 1] for number in film.slot(wish.id).details if number <= len(details))
    visited = chosen or tuple(details)
    return visited if kind == "tour" else visited[:1] if kind in _ON_FIRST_DETAIL else ()


def _of_views(views: tuple[Rect, ...], kind: str, frame: Size, shown: Size) -> Need:
    """Return the need of the closest of views set by hand: one source pixel for every frame pixel."""
    closest = min((containing(view, frame) for view in views), key=lambda view: view.width)
    factor = Fraction(frame.width) / Fraction(closest.width)
    words = f"on {closest.width:.0f}×{closest.height:.0f} px of this file, as set by hand"
    return Need(kind, words, factor, factor, scaled(shown, factor))
