"""Clips and markers in their place -> slots: what each is called, what it asks for, and what cannot be one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from ..ids import check_id, id_key, numbered_id
from ..names import without_suffix
from ..slots import Problem, Slot, overlaps, shown
from .file import Object, label, own_data, text_of
from .media import is_picture, still_of
from .place import Clock, Span
from .tracks import counted
from .walk import Marked, Placed

_MOST = 1_000_000  # more slots than any timeline has
TEXTS = ("wanted", "still", "shot", "caption", "credit", "note")
"""The fields of a slot that are texts, under the names that this tool writes into a timeline too."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A slot without its id: the frames it fills, those between its cuts, and what it asks for.

    own_id is the id that this tool wrote into the timeline, name what the editor calls it.
    """

    item: str
    span: Span
    cuts: Span
    own_id: str
    name: str
    texts: dict[str, str] = field(default_factory=dict)


def draft_of_clip(placed: Placed, clock: Clock) -> Draft:
    """Return the draft of a clip: what its name and media say, and our own words where the clip carries them.

    A clip that was renamed, or given a picture, since this tool wrote it says what is wanted now.
    """
    clip, own = placed.clip, own_data(placed.clip)
    name, given = text_of(clip, "name"), text_of(own, "wanted") or text_of(own, "slot")
    wanted = text_of(own, "wanted") if name == given else without_suffix(name)
    still = still_of(clip) or text_of(own, "still")
    texts = {text: text_of(own, text) for text in TEXTS} | {"wanted": wanted, "still": still}
    span, cuts = clock.span(placed.reach), clock.span(placed.cuts)
    return Draft(label(clip), span, cuts, text_of(own, "slot"), without_suffix(name), texts)


def draft_of_marker(marked: Marked, clock: Clock) -> Draft:
    """Return the draft of a marker that has a length: its name says what is wanted, its comment is a note."""
    name, comment = text_of(marked.marker, "name"), text_of(marked.marker, "comment")
    wanted, note = (name, comment) if name else (comment, "")
    still = wanted if is_picture(wanted) else ""
    span = clock.span(marked.range)
    texts = {"wanted": without_suffix(wanted), "still": still, "note": note}
    return Draft(label(marked.marker), span, span, "", without_suffix(wanted), texts)


def fault_of(draft: Draft, clock: Clock) -> str:
    """Say why a draft can be no slot; "" where it can."""
    if draft.span.length < 1:
        return "is shorter than one frame of the film"
    if draft.span.start < 0:
        return "begins before timecode 00:00:00:00"
    if draft.span.end > clock.last:
        return "ends after 99 hours, the last that timecode counts"
    return ""


def slots_of(drafts: Sequence[Draft]) -> tuple[tuple[Slot, ...], tuple[Problem, ...]]:
    """Return the slots of drafts that are in the order of time, and what is to be looked at."""
    ids, told = _ids(drafts)
    slots = [_slot(draft, name) for draft, name in zip(drafts, ids, strict=True)]
    # Clips that a transition joins overlap on purpose, so it is the cuts that are compared.
    cut = [replace(slot, start=draft.cuts.start, length=max(draft.cuts.length, 1)) for draft, slot in
           zip(drafts, slots, strict=True)]  # fmt: skip
    problems = [*told, *_between_frames(drafts, slots), *_unsaid(slots), *overlaps(cut)]
    return tuple(slots), tuple(problems)


def _slot(draft: Draft, name: str) -> Slot:
    said = {text: draft.texts.get(text, "") for text in TEXTS}
    return Slot(name, draft.span.start, draft.span.length, line=0, cues=(), **said)


def _ids(drafts: Sequence[Draft]) -> tuple[list[str], list[Problem]]:
    """Name the slots: by the id that this tool gave before, else by the clip's name, which a recut leaves as it is.

    A name that is there already gets a number; one that cannot be a file's name gives way to the slot's number.
    """
    names, problems = _Names(), []
    ids = [names.take(draft.own_id) if names.is_free(draft.own_id) else "" for draft in drafts]
    for place, draft in enumerate(drafts):
        if ids[place]:
            continue
        ids[place] = names.take(_usable(draft.own_id) or _usable(draft.name) or numbered_id(place + 1, len(drafts)))
        if draft.own_id:
            problems.append(Problem(0, "", _renamed(draft, ids[place])))
    return ids, problems


def _renamed(draft: Draft, name: str) -> str:
    why = "is the id of another slot too" if _usable(draft.own_id) else "cannot be used"
    return f"{draft.item}: its id {shown(draft.own_id)} {why}, so the slot is called {shown(name)}"


class _Names:
    """The ids given so far; no two are one file."""

    def __init__(self) -> None:
        self._taken: set[str] = set()
        self._counts: defaultdict[str, int] = defaultdict(lambda: 1)

    def is_free(self, name: str) -> bool:
        return bool(_usable(name)) and id_key(_usable(name)) not in self._taken

    def take(self, name: str) -> str:
        """Take a name that is usable, or else the next one with a number behind it that is free."""
        free, stem = name, name if _usable(f"{name}_{_MOST}") else name[:30]
        while not self.is_free(free):
            self._counts[id_key(stem)] += 1
            free = f"{stem}_{self._counts[id_key(stem)]}"
        self._taken.add(id_key(_usable(free)))
        return _usable(free)


def _usable(name: str) -> str:
    try:
        return check_id(name)
    except ValueError:
        return ""


def _between_frames(drafts: Iterable[Draft], slots: Iterable[Slot]) -> Iterator[Problem]:
    moved = [slot for draft, slot in zip(drafts, slots, strict=True) if not draft.span.exact]
    if moved:
        names = ", ".join(shown(slot.id) for slot in moved[:3]) + " …" * (len(moved) > 3)
        what = f"{counted(len(moved), 'slot')} ({names}): start or end falls between two frames of the film"
        yield Problem(0, "", f"{what}; the nearest frame is taken")


def _unsaid(slots: Iterable[Slot]) -> Iterator[Problem]:
    for slot in slots:
        if not slot.wanted and not slot.still:
            yield Problem(0, "", f"slot {shown(slot.id)} does not say what should be seen; it will be a card")


def marker_text(marker: Object) -> str:
    """Return what a marker says: its name, and its comment where that says more."""
    name, comment = text_of(marker, "name"), text_of(marker, "comment")
    return " – ".join(dict.fromkeys(text for text in (name, comment) if text))
