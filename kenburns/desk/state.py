"""What the page is told of a film: everything but pictures and paths, as plain JSON."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from ..cutlist.match import Match, match_all
from ..deliver.details_sheet import headroom_of
from ..film import SlotEdit
from ..motion.geometry import Size
from ..motion.path import speed_limit
from ..motion.shots import KINDS
from ..motion.timebase import format_timecode
from ..notes.laying import Laid
from ..plan.document import Plan, PlannedSlot
from ..prepare import Prepared
from ..presets import names, pacing
from ..resolution import Verdict, works_of
from ..stills.interest.details import Detail
from .names import film_names
from .noted import note_problems, notes_on, stray_notes

EASINGS = ("linear", "sine", "cubic", "minimum-jerk")
"""Those with a name; cubic-bezier(...) may be written by hand."""


def photograph_id(name: str) -> str:
    """Return what addresses call a photograph: always the same for a name, and telling nothing of paths."""
    return hashlib.sha256(name.encode("utf-8", "surrogatepass")).hexdigest()[:20]


def film_state(prepared: Prepared, notes: Laid | None = None) -> dict[str, Any]:
    """Return the film as the page gets it, with the notes of a review, but for the version and what a snapshot adds."""
    plan, place = prepared.plan, prepared.place
    verdicts = {verdict.photograph.name: verdict for verdict in prepared.verdicts}
    matches = match_all(prepared.cut_list.slots, tuple(verdicts), works_of(place).works)
    edits = _edits(prepared)
    used = _used_by(plan)
    return {
        "title": plan.title,
        "frame": plan.frame.model_dump(),
        "rate": plan.rate,
        "codec": plan.codec,
        "handles": plan.handles,
        "matte": plan.matte,
        "pacing": place.film.settings.pacing,
        "limit": limit(prepared, None),
        "kinds": list(KINDS),
        "easings": list(EASINGS),
        "pacings": list(names("pacing", place.presets)),
        "problems": [*prepared.problems, *note_problems(notes)],
        "remarks": [*prepared.remarks, *(notes.remarks if notes else ())],
        "stray_notes": stray_notes(plan, notes),
        "photographs": [_photograph(verdict, prepared, used.get(name, [])) for name, verdict in verdicts.items()],
        "refused": [{"name": refusal.name, "reason": refusal.reason} for refusal in prepared.refused],
        "slots": [
            _slot(index, slot, match, edits[slot.slot], prepared, verdicts) | {"review": notes_on(slot.slot, notes)}
            for index, (slot, match) in enumerate(zip(plan.slots, matches, strict=True))
        ],
    }


def limit(prepared: Prepared, pacing_name: str | None) -> float | None:
    """Return the speed limit of a pacing, by default the film's, in frame pixels a frame; None where it has none."""
    place, plan = prepared.place, prepared.plan
    seconds = pacing(pacing_name or place.film.settings.pacing, place.presets).speed_seconds
    return speed_limit(plan.frame.size, plan.exact_rate, seconds) if seconds else None


def edit_of(slot: str, prepared: Prepared) -> SlotEdit:
    """Return what was set by hand for a slot, under whatever name film.toml has it."""
    return _edits(prepared)[slot]


def _edits(prepared: Prepared) -> dict[str, SlotEdit]:
    film = prepared.place.film
    names = film_names(prepared)["slots"]
    return {slot: SlotEdit() if name is None else film.slot(name) for slot, name in names.items()}


def _used_by(plan: Plan) -> dict[str, list[str]]:
    used: dict[str, list[str]] = {}
    for slot in plan.slots:
        if slot.still:
            used.setdefault(slot.still.file, []).append(slot.slot)
    return used


def _photograph(verdict: Verdict, prepared: Prepared, used_by: Sequence[str]) -> dict[str, Any]:
    photograph, room = verdict.photograph, verdict.room
    hand, seen = prepared.place.film.still(photograph.name), verdict.seen
    taken = photograph.photograph_size
    return {
        "id": photograph_id(photograph.name),
        "name": photograph.name,
        "width": photograph.size.width,
        "height": photograph.size.height,
        "taken": {"width": taken.width, "height": taken.height},
        "content": photograph.sha256[:16],
        "verdict": room.verdict,
        "largest_zoom": room.largest_zoom,
        "reason": room.reason,
        "warning": verdict.soft,
        "outline": seen.outline if seen else None,
        "outline_confidence": seen.confidence if seen else 0.0,
        "outline_by_hand": hand.outline is not None,
        "square_up": photograph.corners is not None,
        "detail_class": seen.real.detail_class if seen else None,
        "details": _details(seen.details if seen else (), prepared.plan.frame.size),
        "details_by_hand": bool(hand.details),
        "credit": hand.credit,
        "title": hand.title,
        "used_by": list(used_by),
    }


def _details(details: Iterable[Detail], frame: Size) -> list[dict[str, Any]]:
    return [
        {
            "x": detail.rect.x,
            "y": detail.rect.y,
            "width": detail.rect.width,
            "height": detail.rect.height,
            "score": detail.score,
            "reason": detail.reason,
            "headroom": headroom_of(detail, frame),
        }
        for detail in details
    ]


def _slot(
    index: int,
    slot: PlannedSlot,
    match: Match,
    edit: SlotEdit,
    prepared: Prepared,
    verdicts: Mapping[str, Verdict],
) -> dict[str, Any]:
    """Return one slot; `match` is the cut list's own, as if nobody had chosen a photograph by hand."""
    plan, still = prepared.plan, slot.still
    return {
        "slot": slot.slot,
        "index": index,
        "wanted": slot.wanted,
        "start": slot.start,
        "start_timecode": format_timecode(slot.start, plan.exact_rate, drop=plan.drop),
        "frames": slot.frames,
        "seconds": float(slot.frames / plan.exact_rate),
        "kind": slot.kind,
        "attention": bool(slot.flags),
        "photograph": photograph_id(still.file) if still else None,
        "matched_by": still.matched_by if still else match.by,
        "score": still.score if still else match.score,
        "candidates": [
            {"photograph": photograph_id(name), "name": name, "score": score} for name, score in match.candidates
        ],
        "verdict": verdicts[still.file].room.verdict if still else "words" if slot.words else "missing",
        "shown_as": slot.shown_as,
        "flags": list(slot.flags),
        "rights": list(slot.rights),
        "notes": [note for part in (*slot.shots, slot.words) if part for note in part.notes],
        "caption": slot.caption,
        "credit": slot.credit,
        "note": slot.note,
        "shots": [shot.model_dump(mode="json") for shot in slot.shots],
        "by_hand": _by_hand(edit),
    }


def _by_hand(edit: SlotEdit) -> dict[str, Any]:
    return {
        "still": edit.still,
        "shot": edit.shot,
        "easing": edit.easing,
        "head": edit.head,
        "tail": edit.tail,
        "details": list(edit.details),
        "stops": [[stop.x, stop.y, stop.width, stop.height] for stop in edit.stops],
        "cue": list(edit.cue),
        "pacing": edit.pacing,
        "direction": edit.direction if "direction" in edit.model_fields_set else None,
        "note": edit.note,
    }
