"""Asking for better files: every photograph of a film that falls short, and every picture that is missing.

A size is computed for the shot that the slot wants, in every delivery. Views that were set by hand say how close it
goes; else a hold, a pan and a tilt fill the frame, and any other move has the closeness that the film checks its
photographs for. Where nobody has said which shot it is, and what there is falls short, there is to be room for any.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from .cutlist.folding import fold
from .cutlist.match import Match, match_all
from .cutlist.slots import Slot
from .cutlist.works import Work
from .deliver.asks import ONE_EXPOSURE, Ask, Request, State, Use, covering
from .film import Film, Settings
from .film_file import new_names
from .motion.geometry import Size
from .motion.timebase import format_timecode
from .owners import named_owner, same_name, work_name, works_of_slots, works_on
from .plan.document import PlannedSlot
from .plan.join import with_edits
from .plan.recut import renamed
from .prepare import Prepared
from .presets import pacing
from .shot_needs import Need, picture_need, scaled, shot_need
from .stills.detail.estimate import FULL


def request(
    prepared: Sequence[Prepared], works: Sequence[Work] = (), owner_of: Callable[[str], str] = lambda _name: ""
) -> Request:
    """Return what to ask for, from every delivery of a film (the main one first, then as film.toml has them).

    The owner is the works list's photographer or credit, else what `owner_of` says of a photograph's name ("" where it
    knows nobody: its metadata, say), else the cut list's credit. ValueError for no delivery at all.
    """
    if not prepared:
        raise ValueError("a request is made from at least one delivery, the main one")
    main = prepared[0]
    film = main.place.film.with_slots(new_names(main.place.film.slots, renamed(main.were)))
    deliveries = list(_deliveries(prepared, film))
    asks = [*_of_photographs(deliveries, works), *_of_cards(deliveries, works)]
    named = _with_owners(asks, owner_of)
    return Request(main.plan.title, tuple(sorted(named, key=_order(named))))


@dataclass(frozen=True, slots=True)
class _Delivery:
    """One delivery: what is planned, what was wished for, and how close the film's photographs are to bear."""

    name: str
    prepared: Prepared
    film: Film
    wishes: tuple[Slot, ...]
    zoom: Fraction

    @property
    def frame(self) -> Size:
        return self.prepared.plan.frame.size

    def slots(self, kind: str) -> Iterator[tuple[PlannedSlot, Slot]]:
        """Yield clips, or cards that wait for a picture, with their wishes."""
        both = zip(self.prepared.plan.slots, self.wishes, strict=True)
        return ((slot, wish) for slot, wish in both if slot.kind == kind and not wish.card)

    def use(self, slot: PlannedSlot, need: Need, size: Size) -> Use:
        plan = self.prepared.plan
        timecode = format_timecode(slot.start, plan.exact_rate, drop=plan.drop)
        seconds = float(slot.frames / plan.exact_rate)
        return Use(slot.slot, self.name, timecode, seconds, self.frame, need.shot, need.closest, size)


def _deliveries(prepared: Sequence[Prepared], film: Film) -> Iterator[_Delivery]:
    for one, name in zip(prepared, ("", *film.deliveries), strict=False):
        settings = film.delivered(name) if name else film.settings
        wishes = with_edits(one.cut_list.slots, film, one.plan.exact_rate)
        yield _Delivery(name, one, film, wishes, _zoom(settings, one))


def _zoom(settings: Settings, prepared: Prepared) -> Fraction:
    zoom = settings.zoom or pacing(settings.pacing, prepared.place.presets).zoom
    return Fraction(repr(float(zoom)))  # as it was typed


@dataclass(frozen=True, slots=True)
class _Draft:
    """A picture before its owner is known, with all that may name one."""

    ask: Ask
    work: Work | None
    credit: str


@dataclass(slots=True)
class _Shown:
    """A photograph's uses, whether each falls short of pixels or of detail, and the slots' credits."""

    uses: list[Use]
    short: bool = False
    soft: str = ""
    credit: str = ""


def _of_photographs(deliveries: Sequence[_Delivery], works: Sequence[Work]) -> Iterator[_Draft]:
    """Yield the photographs in the film that fall short, in film order."""
    shown: dict[str, _Shown] = {}
    for delivery in deliveries:
        for slot, wish in delivery.slots("clip"):
            _count_use(shown, delivery, slot, wish)
    material = deliveries[0].prepared.material
    named = works_on(list(material.photographs), works)
    for name, found in shown.items():
        work, photograph = named.get(name), material.photographs[name]
        state: State = "larger" if found.short else "sharper"
        size = covering([use.needed for use in found.uses])
        ask = Ask(
            "", state, work_name(work), name, photograph.photograph_size, size, True, tuple(found.uses), found.soft
        )
        yield _Draft(replace(ask, remark=_remark(ask)), work, found.credit)


def _count_use(shown: dict[str, _Shown], delivery: _Delivery, slot: PlannedSlot, wish: Slot) -> None:
    """Count a slot's use of its photograph where that falls short of it."""
    if slot.still is None:
        return
    name, material = slot.still.file, delivery.prepared.material
    photograph, seen = material.photographs[name], material.seen.get(name)
    need = shot_need(slot, wish, delivery.film, delivery.frame, delivery.zoom, material.shown(name))
    soft = seen is not None and seen.real.scale < FULL and need.factor > Fraction(seen.real.scale)
    if need.factor <= 1 and not soft:
        return
    found = shown.setdefault(name, _Shown([]))
    found.uses.append(delivery.use(slot, need, scaled(photograph.photograph_size, need.ask)))
    found.short = found.short or need.factor > 1
    warning = material.softness(name, delivery.frame) if soft else None
    found.soft = found.soft or (f"The file is {warning}." if warning else "")
    found.credit = found.credit or slot.credit


def _of_cards(deliveries: Sequence[_Delivery], works: Sequence[Work]) -> Iterator[_Draft]:
    """Yield the pictures that slots wait for, in film order; a work that several wait for once."""
    main = deliveries[0]
    wishes = [wish for _, wish in main.slots("card")]
    photographs = list(main.prepared.material.photographs)
    matches = {wish.id: match for wish, match in zip(wishes, match_all(wishes, photographs, works), strict=True)}
    refused = _unreadable(main.prepared, wishes, works)
    of_slots = works_of_slots(wishes, works)
    together: dict[object, list[Slot]] = {}
    for wish in wishes:
        work = of_slots.get(wish.id)
        key = work or refused.get(wish.id) or _label(wish) or wish.id
        together.setdefault(key, []).append(wish)
    for group in together.values():
        first = group[0]
        yield _missing(deliveries, group, of_slots.get(first.id), matches[first.id], refused.get(first.id, ""))


def _missing(
    deliveries: Sequence[_Delivery], wishes: Sequence[Slot], work: Work | None, match: Match, refused: str
) -> _Draft:
    ids = {wish.id for wish in wishes}
    uses = tuple(
        delivery.use(slot, need, need.picture)
        for delivery in deliveries
        for slot, wish in delivery.slots("card")
        if wish.id in ids
        for need in [picture_need(wish, delivery.frame, delivery.zoom, _shape(work))]
    )
    state: State = "unreadable" if refused else "missing" if match.file is None else "unsure"
    first = wishes[0]
    called = work_name(work) or first.wanted or first.still or first.id
    needed = covering([use.needed for use in uses])
    ask = Ask("", state, called, refused, None, needed, _shape(work) is not None, uses)
    unsure = f"Perhaps it is '{match.file}': confirm that in film.toml or the cut list before anybody is asked."
    remark = unsure if state == "unsure" else _remark(ask)
    return _Draft(replace(ask, remark=remark), work, next((wish.credit for wish in wishes if wish.credit), ""))


def _unreadable(prepared: Prepared, wishes: Sequence[Slot], works: Sequence[Work]) -> dict[str, str]:
    """Return the files that are there and cannot be used, by the slots that surely want them."""
    names = [refusal.name for refusal in prepared.refused]
    found = match_all(wishes, names, works)
    return {wish.id: match.file for wish, match in zip(wishes, found, strict=True) if match.file and match.certain}


def _shape(work: Work | None) -> Fraction | None:
    """Return width over height of a work, where the list says."""
    if work is None or not work.width_cm or not work.height_cm:
        return None
    return Fraction(repr(work.width_cm)) / Fraction(repr(work.height_cm))


def _label(wish: Slot) -> str:
    return " ".join(fold(wish.wanted or wish.still).split())


def _remark(ask: Ask) -> str:
    if ask.long_side <= ONE_EXPOSURE:
        return ""
    return "That is more than cameras take at once; a photograph of the detail alone would do as well."


def _with_owners(drafts: Iterable[_Draft], owner_of: Callable[[str], str]) -> tuple[Ask, ...]:
    spelt: dict[str, str] = {}
    asks = []
    for draft in drafts:
        owner = named_owner(draft.work, owner_of(draft.ask.file) if draft.ask.file else "", draft.credit)
        asks.append(replace(draft.ask, owner=spelt.setdefault(same_name(owner), owner)))
    return tuple(asks)


def _order(asks: Sequence[Ask]) -> Callable[[Ask], tuple[bool, int]]:
    """Return a key that keeps each owner's asks together, those of nobody last; a stable sort keeps the rest."""
    places: Mapping[str, int] = {owner: at for at, owner in enumerate(dict.fromkeys(ask.owner for ask in asks))}
    return lambda ask: (not ask.owner, places[ask.owner])
