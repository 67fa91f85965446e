"""Everything decided and nothing made: target and options become a plan, with all that speaks about it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from .cards.look import Look, rgb
from .cutlist.match import match_all
from .cutlist.slots import CutList
from .cutlist.table import read_cut_list
from .cutlist.works import WorksList
from .errors import OptionError, PhotographError
from .film_place import FilmPlace, film_for
from .motion.geometry import Rect, Size, bounds, box_inside, slide_inside
from .motion.timebase import frames_from_seconds, parse_rate, parse_timecode
from .plan.document import Plan
from .plan.join import Delivery, Material, plan_film, with_edits
from .plan.unlisted import slots_without_cut_list
from .presets import Codec, card_look, codec, frame_size, pacing, require_frame
from .resolution import Verdict, judge, works_of
from .stills.details import propose_details
from .stills.folder import Refusal, find_photographs
from .stills.open import Photograph, small_rgb
from .stills.saliency import saliency
from .toml_file import key_text
from .values import one_form

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
    problems: tuple[str, ...]
    """Rows and cells of the lists that could not be used, and others to look at."""
    remarks: tuple[str, ...]
    """How the lists and the film file were read, where that is not plain."""


def prepare(target: Path, options: Options) -> Prepared:
    """Decide what is on screen in every slot of `target`; nothing is written.

    RequestError when the request itself is wrong: no such target, a broken film file, an unreadable cut list, an
    unknown preset, no photographs at all.
    """
    place = film_for(target, cut_list=options.cut_list, out=options.out)
    delivery, chosen = _delivery(place, options)
    listed = read_cut_list(place.cut_list, delivery.rate) if place.cut_list is not None else None
    works = works_of(place)
    found, refused = find_photographs(place.photographs, [place.out])
    if not found and not refused and not (listed and listed.slots):
        raise OptionError(f"'{place.photographs}' holds no photographs, and no cut list has a row; put some there")
    material, damaged = _look_at_all(found, delivery, place)
    slots = _placed(listed if listed and listed.slots else _unlisted(delivery, material), place, delivery)
    matches = match_all(with_edits(slots.slots, place.film), list(material.photographs), works.works)
    refused = (*refused, *damaged)
    return Prepared(
        place=place,
        plan=plan_film(delivery, slots, matches, material, place.film),
        codec=chosen,
        look=card_look(delivery.card_look, place.presets),
        cut_list=slots,
        material=material,
        verdicts=judge(tuple(material.photographs.values()), delivery.frame, delivery.zoom, works.works),
        refused=refused,
        problems=_problems(slots, works),
        remarks=(
            *_columns("cut list", slots.columns, slots.ignored),
            *_columns("works list", works.columns, works.ignored),
            *_meant_for_nobody(place, slots, [*material.photographs, *(refusal.name for refusal in refused)]),
        ),
    )


def _delivery(place: FilmPlace, options: Options) -> tuple[Delivery, Codec]:
    settings, extra = place.film.settings, place.presets
    size = frame_size(settings.frame if options.frame is None else options.frame, extra)
    chosen = codec(settings.codec if options.codec is None else options.codec, extra)
    require_frame(chosen, size)
    pace = pacing(settings.pacing, extra)
    return Delivery(
        title=place.title,
        frame=size,
        rate=settings.rate if options.rate is None else parse_rate(options.rate),
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
        {photograph.name: outline for photograph, _ in good if (outline := place.film.still(photograph.name).outline)},
    )
    return material, tuple(details for _, details in seen if isinstance(details, Refusal))


def _details(photograph: Photograph, delivery: Delivery, place: FilmPlace) -> tuple[Rect, ...]:
    by_hand = place.film.still(photograph.name)
    # Also looked at where the details are set by hand: a damaged file is better found now than while rendering.
    small = small_rgb(photograph, _LOOK_AT, rgb(delivery.matte))
    if by_hand.details:
        return tuple(_part_inside(area, photograph.size) for area in by_hand.details)
    work = box_inside(by_hand.outline) if by_hand.outline else None
    proposed = propose_details(saliency(small), photograph.size, delivery.frame, work=work)
    return tuple(detail.rect for detail in proposed)


def _part_inside(area: Rect, size: Size) -> Rect:
    """Return what of an area lies in the picture; where nothing does, the area moved to it, so that numbers stay."""
    picture = bounds(size)
    x, y = max(area.x, 0.0), max(area.y, 0.0)
    width, height = min(area.right, picture.right) - x, min(area.bottom, picture.bottom) - y
    if min(width, height) > 0:
        return Rect(x, y, width, height)
    fitting = Rect(area.x, area.y, min(area.width, picture.width), min(area.height, picture.height))
    return slide_inside(fitting, picture)


def _unlisted(delivery: Delivery, material: Material) -> CutList:
    detailed = [name for name, details in material.details.items() if details]
    length = frames_from_seconds(Fraction(delivery.pacing.length), delivery.rate)
    return slots_without_cut_list(list(material.photographs), detailed, length)


def _problems(slots: CutList, works: WorksList) -> tuple[str, ...]:
    listed = (("cut list", slots.problems), ("works list", works.problems))
    return tuple(f"{name}, {problem}" for name, problems in listed for problem in problems)


def _columns(name: str, columns: Mapping[str, str], ignored: Iterable[str]) -> Iterator[str]:
    """Say which headers were read as something that they do not plainly say, and which were not used."""
    for column, header in columns.items():
        if _letters(header) != _letters(column):
            yield f"{name}: column '{header}' is read as {column.replace('_', ' ')}"
    yield from (f"{name}: column '{header}' is not used" for header in ignored)


def _letters(name: str) -> str:
    return "".join(letter for letter in name.casefold() if letter.isalnum())


def _meant_for_nobody(place: FilmPlace, slots: CutList, photographs: Iterable[str]) -> Iterator[str]:
    """Name what was set by hand for slots and photographs that are not there: a slip of the hand, or a recut."""
    file = place.file.name if place.file else ""
    ids, names = {one_form(slot.id) for slot in slots.slots}, {one_form(name) for name in photographs}
    for slot in place.film.slots:
        if slot not in ids:
            yield f"'{file}', {key_text(('slots', slot), table=True)}: no slot has that name"
    for still in place.film.stills:
        if still not in names:
            yield f"'{file}', {key_text(('stills', still), table=True)}: no photograph has that name"


def _placed(listed: CutList, place: FilmPlace, delivery: Delivery) -> CutList:
    """Return the slots from the film's first timecode on: those that count from zero are moved there."""
    start = place.film.settings.start
    if start is None:
        return listed
    try:
        first = parse_timecode(start, delivery.rate)
    except ValueError as wrong:
        raise OptionError(f"--rate: the film starts at '{start}', and {wrong}") from None
    if any(slot.start >= first for slot in listed.slots):
        return listed
    moved = tuple(replace(slot, start=slot.start + first) for slot in listed.slots)
    return replace(listed, slots=moved, drop=listed.drop or ";" in start)
