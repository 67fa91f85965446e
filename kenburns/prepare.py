"""Everything decided and nothing made: target and options become a plan, with all that speaks about it."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from .cards.look import Look
from .cutlist.match import Match, match_all
from .cutlist.reading import Choice, read_cut_list
from .cutlist.slots import CutList, Slot
from .cutlist.works import WorksList
from .errors import OptionError
from .film import Film, Settings
from .film_file import new_names
from .film_place import FilmPlace, film_for
from .how_read import list_problems, list_remarks, meant_for_nobody, soft_ones
from .looking import Looked, look_at_all
from .motion.path import speed_limit
from .motion.timebase import frames_from_seconds, parse_rate, parse_timecode
from .plan.delivery import Delivery
from .plan.document import Plan, PlannedSlot
from .plan.join import plan_film, with_edits
from .plan.last import last_plan, plan_of_hand_edits
from .plan.material import Material, refitted
from .plan.recut import counterparts, decided_moves, renamed
from .plan.unlisted import slots_without_cut_list
from .presets import Codec, card_look, codec, frame_size, pacing, require_frame
from .records import Records, load_records
from .resolution import Verdict, judge, works_of
from .rights import KnownCredits
from .screen_words import Lettering, grounds, unused_words, with_words, works_shown
from .stills.folder import Refusal, find_photographs


@dataclass(frozen=True, slots=True)
class Options:
    """What a person may say beside the film file; None leaves the film file's word."""

    cut_list: Path | None = None
    frame: str | None = None
    rate: str | None = None
    codec: str | None = None
    out: Path | None = None
    track: str | None = None
    reel: str | None = None


@dataclass(frozen=True, slots=True)
class Prepared:
    """A plan and what it was decided from.

    `earlier` is the plan that the out folder was last made by, if it was; `were` says for slots of the new plan, by id,
    which slot of it they were.
    """

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
    earlier: Plan | None
    were: Mapping[str, PlannedSlot]
    records: Records


def prepare(target: Path, options: Options, records: Records | None = None) -> Prepared:
    """Decide what is on screen in every slot of `target`, for its main delivery; nothing is written.

    RequestError when the request itself is wrong: no such target, a broken film file, an unreadable cut list, an
    unknown preset, no photographs at all. `records` are what is known of photographs from before: by default those of
    the out folder.
    """
    return _decide(_gather(target, options, records))


def prepare_all(target: Path, options: Options, records: Records | None = None) -> tuple[Prepared, ...]:
    """Decide the main delivery and every other that film.toml has, each photograph being looked at once.

    The others follow the main one in what they show and how it moves; each move is fitted anew to its frame. Raises
    what `prepare` raises.
    """
    gathered = _gather(target, options, records)
    main = _decide(gathered)
    return main, *(_other(gathered, main, name) for name in gathered.place.film.deliveries)


@dataclass(frozen=True, slots=True)
class _Gathered:
    """Everything read, nothing decided."""

    place: FilmPlace
    delivery: Delivery
    codec: Codec
    slots: CutList
    works: WorksList
    looked: Looked
    refused: tuple[Refusal, ...]
    records: Records


def _gather(target: Path, options: Options, records: Records | None) -> _Gathered:
    place = film_for(target, cut_list=options.cut_list, out=options.out)
    known = load_records(place.out) if records is None else records
    delivery, chosen = _delivery(place, place.film.settings, options)
    listed = read_cut_list(place.cut_list, delivery.rate, _choice(place, options)) if place.cut_list else None
    works = works_of(place)
    found, refused = find_photographs(place.photographs, [place.out], known.inspect)
    if not found and not refused and not (listed and listed.slots):
        raise OptionError(f"'{place.photographs}' holds no photographs, and no cut list has a row; put some there")
    looked = look_at_all(found, delivery.frame, place.film, known, delivery.pacing.depth)
    slots = _placed(listed if listed and listed.slots else _unlisted(delivery, looked.material), place, delivery)
    return _Gathered(place, delivery, chosen, slots, works, looked, (*refused, *looked.refused), known)


def _choice(place: FilmPlace, options: Options) -> Choice:
    """Return which entries of the cut list hold stills; a cut list given as an option is read as the options say."""
    said = place.film.folders
    if options.cut_list is not None:
        return Choice(options.track, options.reel, said.markers)
    return Choice(options.track or said.track, options.reel or said.reel, said.markers)


def _decide(of: _Gathered) -> Prepared:
    earlier = plan_of_hand_edits(of.place.out, of.place.film.slots)
    were = counterparts(earlier.slots, of.slots.slots) if earlier else {}
    film = of.place.film.with_slots(new_names(of.place.film.slots, renamed(were)))
    matches = _matches(of, film)
    moves = decided_moves(were, _certain(of.slots, matches))
    return _prepared(of, matches, film, moves, earlier, were)


def _other(of: _Gathered, main: Prepared, name: str) -> Prepared:
    """Return another delivery of a film: the main one's moves and details in another frame and folder."""
    place = replace(of.place, out=of.place.out / name, file=None)  # film.toml follows the main delivery's cut alone
    delivery, chosen = _delivery(place, place.film.delivered(name), Options())
    delivery = replace(delivery, rate=of.delivery.rate)
    material = refitted(of.looked.material, of.delivery.frame, delivery.frame)
    again = replace(
        of, place=place, delivery=delivery, codec=chosen, looked=replace(of.looked, material=material), refused=()
    )
    earlier = last_plan(place.out)
    were = counterparts(earlier.slots, of.slots.slots) if earlier else {}
    film = place.film.with_slots(new_names(place.film.slots, renamed(main.were)))
    moves = {slot.slot: slot.move for slot in main.plan.slots if slot.move}
    prepared = _prepared(again, _matches(again, film), film, moves, earlier, were)
    return replace(prepared, problems=(), remarks=())  # said once


def _matches(of: _Gathered, film: Film) -> list[Match]:
    files, works = list(of.looked.material.photographs), of.works.works
    lists = hashlib.sha256(repr((files, works)).encode()).hexdigest()

    def match(slot: Slot) -> Match:
        asked = lists, slot.wanted, slot.still
        return of.records.matches.of(asked, lambda: match_all([slot], files, works)[0])

    return [match(slot) for slot in with_edits(of.slots.slots, film, of.delivery.rate)]


def _certain(slots: CutList, matches: Sequence[Match]) -> dict[str, str]:
    """Return the photographs that are surely those of slots, by slot id."""
    both = zip(slots.slots, matches, strict=True)
    return {slot.id: match.file for slot, match in both if match.file and match.certain}


def _prepared(
    of: _Gathered,
    matches: Sequence[Match],
    film: Film,
    moves: Mapping[str, str],
    earlier: Plan | None,
    were: Mapping[str, PlannedSlot],
) -> Prepared:
    material, delivery = of.looked.material, of.delivery
    look = card_look(delivery.card_look, of.place.presets)
    plan = plan_film(delivery, of.slots, matches, material, film, moves, of.records.moves)
    names = [*material.photographs, *(refusal.name for refusal in of.refused)]
    return Prepared(
        place=of.place,
        plan=_with_words_and_rights(plan, of, matches, film, look),
        codec=of.codec,
        look=look,
        cut_list=of.slots,
        material=material,
        verdicts=judge(material, delivery.frame, delivery.zoom, of.works.works),
        refused=of.refused,
        problems=list_problems(of.slots, of.works),
        remarks=(
            *list_remarks(of.slots, of.works),
            *meant_for_nobody(of.place, film, of.slots, names),
            *unused_words(with_edits(of.slots.slots, film, of.delivery.rate)),
            *of.looked.remarks,
            *soft_ones(material, delivery.frame, matches),
        ),
        earlier=earlier,
        were=were,
        records=of.records,
    )


def _with_words_and_rights(plan: Plan, of: _Gathered, matches: Sequence[Match], film: Film, look: Look) -> Plan:
    settings, pace = film.settings, of.delivery.pacing
    wishes = with_edits(of.slots.slots, film, of.delivery.rate)
    captions = settings.captions == "overlay"
    wanted = captions or any(wish.card for wish in wishes)
    by = Lettering(
        look,
        speed_limit(plan.frame.size, plan.exact_rate, pace.speed_seconds) if pace.speed_seconds else None,
        works_shown(plan, wishes, of.works.works) if wanted else {},
        grounds(wishes, matches, of.looked.material.photographs),
        captions,
    )
    known = KnownCredits(of.looked.material.photographs, of.works)
    return known.with_rights(with_words(plan, wishes, by, lambda shown: known.of(shown, settings.credits).groups))


def _delivery(place: FilmPlace, settings: Settings, options: Options) -> tuple[Delivery, Codec]:
    extra = place.presets
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
        pacings={edit.pacing: pacing(edit.pacing, extra) for edit in place.film.slots.values() if edit.pacing},
    ), chosen


def _unlisted(delivery: Delivery, material: Material) -> CutList:
    detailed = [name for name, details in material.details.items() if details]
    length = frames_from_seconds(Fraction(delivery.pacing.length), delivery.rate)
    return slots_without_cut_list(list(material.photographs), detailed, length)


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
