"""Everything decided and nothing made: target and options become a plan, with all that speaks about it."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from .cards.look import Look, rgb
from .resolution import Verdict, judge, works_of
from .cutlist.match import match_all
from .cutlist.slots import CutList
from .cutlist.table import read_cut_list
from .errors import OptionError, PhotographError
from .film_place import FilmPlace, film_for
from .motion.geometry import Rect
from .motion.timebase import frames_from_seconds, parse_rate
from .plan.document import Plan
from .plan.join import Delivery, Material, plan_film, with_edits
from .plan.unlisted import slots_without_cut_list
from .presets import Codec, card_look, codec, frame_size, pacing, require_frame
from .stills.details import propose_details
from .stills.folder import Refusal, find_photographs
from .stills.open import Photograph, small_rgb
from .stills.saliency import saliency

_LOOK_AT = 512  # longest side, in pixels, of the version on which details are looked for
_LOOKERS = 2  # photographs looked at side by side; decoding has threads of its own


@dataclass(frozen=True, slots=True)
class Options:
    """What a person may say beside the film file; None leaves the film file's word."""

    cut_list: Path | None = None
    frame: str | None = None
    rate: str | None = None
    codec: str | None = None
    out: Path | None = None


@dataclass(frozen=True, slots=True)
class Prepared:
    """A plan and what it was decided from."""

    place: FilmPlace
    plan: Plan
    codec: Codec
    look: Look
    cut_list: CutList
    material: Material
    verdicts: tuple[Verdict, ...]
    refused: tuple[Refusal, ...]


def prepare(target: Path, options: Options) -> Prepared:
    """Decide what is on screen in every slot of `target`; nothing is written.

    RequestError when the request itself is wrong: no such target, a broken film file, an unreadable cut list, an
    unknown preset, no photographs at all.
    """
    place = film_for(target, cut_list=options.cut_list, out=options.out)
    delivery, chosen = _delivery(place, options)
    found, refused = find_photographs(place.photographs, [place.out])
    if not found and not refused and place.cut_list is None:
        raise OptionError(f"'{place.photographs}' holds neither photographs nor a cut list; put some there")
    material, damaged = _look_at_all(found, delivery, place)
    listed = _cut_list(place, delivery, material)
    works = works_of(place)
    matches = match_all(with_edits(listed.slots, place.film), list(material.photographs), works)
    return Prepared(
        place=place,
        plan=plan_film(delivery, listed, matches, material, place.film),
        codec=chosen,
        look=card_look(delivery.card_look, place.presets),
        cut_list=listed,
        material=material,
        verdicts=judge(tuple(material.photographs.values()), delivery.frame, delivery.zoom, works),
        refused=(*refused, *damaged),
    )


def _delivery(place: FilmPlace, options: Options) -> tuple[Delivery, Codec]:
    settings, extra = place.film.settings, place.presets
    size = frame_size(options.frame or settings.frame, extra)
    chosen = codec(options.codec or settings.codec, extra)
    require_frame(chosen, size)
    pace = pacing(settings.pacing, extra)
    return Delivery(
        title=place.title,
        frame=size,
        rate=parse_rate(options.rate) if options.rate else settings.rate,
        codec=chosen.name,
        extension=chosen.extension,
        pacing=pace,
        card_look=settings.card,
        matte=settings.matte,
        kernel=chosen.kernel,
        handles=settings.handles,
        zoom=settings.zoom or pace.zoom,
    ), chosen


def _look_at_all(
    photographs: Sequence[Photograph], delivery: Delivery, place: FilmPlace
) -> tuple[Material, tuple[Refusal, ...]]:
    """Propose details in every photograph; one that turns out to be damaged is refused, and the rest goes on."""

    def look_at(photograph: Photograph) -> tuple[Rect, ...] | Refusal:
        try:
            return _details(photograph, delivery, place)
        except PhotographError as error:
            return Refusal(photograph.name, str(error))

    with ThreadPoolExecutor(_LOOKERS) as pool:
        seen = list(zip(photographs, pool.map(look_at, photographs), strict=True))
    good = [(photograph, details) for photograph, details in seen if not isinstance(details, Refusal)]
    material = Material(
        {photograph.name: photograph for photograph, _ in good},
        {photograph.name: details for photograph, details in good},
    )
    return material, tuple(details for _, details in seen if isinstance(details, Refusal))


def _details(photograph: Photograph, delivery: Delivery, place: FilmPlace) -> tuple[Rect, ...]:
    by_hand = place.film.still(photograph.name)
    # Also looked at where the details are set by hand: a damaged file is better found now than while rendering.
    small = small_rgb(photograph, _LOOK_AT, rgb(delivery.matte))
    if by_hand.details:
        return tuple(by_hand.details)
    proposed = propose_details(saliency(small), photograph.size, delivery.frame, work=by_hand.outline)
    return tuple(detail.rect for detail in proposed)


def _cut_list(place: FilmPlace, delivery: Delivery, material: Material) -> CutList:
    if place.cut_list is not None:
        listed = read_cut_list(place.cut_list, delivery.rate)
        if listed.slots:
            return listed
    detailed = [name for name, details in material.details.items() if details]
    length = frames_from_seconds(Fraction(delivery.pacing.length), delivery.rate)
    return slots_without_cut_list(list(material.photographs), detailed, length)
