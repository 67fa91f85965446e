"""A track -> its clips and markers at their place in the timeline, whatever they are nested in.

Places follow opentimelineio (Track and Stack, range_of_child_at_index): in a track each item begins where the one
before it ends, and a transition takes no time of its own; in a stack all begin together. What an item shows of its own
time is its source_range, else all there is of it. Effects that change the speed of what is seen change no place.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from .file import Object, label, list_of, schema
from .media import media_of
from .time import EVER, Range, flicks_of, range_of
from .tracks import COMPOSITIONS, DEEPEST, Left, Tally, children_of, stills_tracks

_MOST = 200_000  # things visited: one that is referred to from many places counts in each

_TIMED = frozenset({"Clip", "Gap", "Track", "Stack", "Timeline"})


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """A clip in the timeline, in flicks: from cut to cut, and with the transitions that reach beyond the cuts."""

    clip: Object
    cuts: Range
    reach: Range


@dataclass(frozen=True, slots=True)
class Marked:
    """A marker in the timeline, in flicks, and the clip that it is on, None where it is on something else."""

    marker: Object
    range: Range
    on: Placed | None


Found = Placed | Marked | Left


class TimelineWalk:
    """One walk through a timeline; it keeps count of what it has met, so that no file can make it endless."""

    def __init__(self) -> None:
        self._met = 0
        self._lengths: dict[int, int | None] = {}
        self._tally = Tally()

    def track(self, track: Object, origin: int = 0, window: Range = EVER) -> Iterator[Found]:
        """Yield all that is in a track whose time begins at `origin`, seen through a window.

        ValueError, naming the item, where a time is none, and where there are too many things or too deep in another.
        """
        cuts = _from(origin, self.length(track))
        yield from self._visit(track, cuts, cuts.cut_to(window), 0)

    def length(self, item: Object, depth: int = 0) -> int | None:
        """Return how long an item is in flicks, None where it does not say; 0 for a transition, which only overlaps."""
        if schema(item) == "Transition":
            return 0
        key = id(item)
        if key not in self._lengths:
            shown = self._shown(item, depth)
            self._lengths[key] = None if shown is None else shown.length
        return self._lengths[key]

    def content(self, track: Object) -> Range | None:
        """Return all there is in a track, in its own time; None where that is not known."""
        return self._content(track, 0)

    def _shown(self, item: Object, depth: int) -> Range | None:
        """Return the part of an item's own time that is shown."""
        if depth > DEEPEST:
            raise ValueError(f"{label(item)}: things within things go {DEEPEST} deep at most; flatten the timeline")
        source = item.get("source_range")
        if source is None and schema(item) in COMPOSITIONS:
            return self._content(item, depth)
        if source is None and schema(item) == "Clip":
            source = media_of(item).get("available_range")
        return None if source is None else _range_in(item, source)

    def _content(self, item: Object, depth: int) -> Range | None:
        lengths = [self.length(child, depth + 1) for child in children_of(item)]
        known = [length for length in lengths if length is not None]
        if len(known) < len(lengths):
            return None
        return Range(0, sum(known) + _ends(item) if schema(item) == "Track" else max(known, default=0))

    def _visit(self, item: Object, cuts: Range, reach: Range, depth: int) -> Iterator[Found]:
        self._met += 1
        if self._met > _MOST:
            raise ValueError(f"a timeline of at most {_MOST:,} things is read; export the stills' tracks alone")
        shown = self._shown(item, depth)
        origin = cuts.start - (shown.start if shown else 0)
        if schema(item) == "Gap" and shown is not None:
            yield from markers_of(item, origin, reach, None)
        elif self._tally.is_empty(item):
            return
        elif item.get("enabled") is False:
            yield Left(label(item), f"is disabled{self._with_all_in(item)}")
        elif reach.length <= 0 < cuts.length:
            yield Left(
                label(item), f"lies outside the part that is shown of what it is nested in{self._with_all_in(item)}"
            )
        elif shown is None and schema(item) not in COMPOSITIONS:
            yield Left(label(item), f"does not say how long it is: {_unsaid(item)}")
        elif schema(item) == "Clip":
            yield from _clip(item, origin, cuts, reach)
        else:
            yield from markers_of(item, origin, reach, None)
            yield from self._inside(item, origin, reach, depth)

    def _inside(self, item: Object, origin: int, reach: Range, depth: int) -> Iterator[Found]:
        if schema(item) == "Track":
            yield from self._row(item, origin, reach, depth)
        elif schema(item) in COMPOSITIONS:
            yield from self._pile(item, origin, reach, depth)
        else:
            yield Left(label(item), "is nothing that is known to take time in a track; its place is kept")

    def _pile(self, stack: Object, origin: int, window: Range, depth: int) -> Iterator[Found]:
        chosen, others = stills_tracks(children_of(stack), self._tally)
        yield from others
        for child in chosen:
            cuts = _from(origin, self.length(child, depth + 1))
            yield from self._visit(child, cuts, cuts.cut_to(window), depth + 1)

    def _row(self, track: Object, origin: int, window: Range, depth: int) -> Iterator[Found]:
        children, at = children_of(track), origin
        for number, child in enumerate(children):
            if schema(child) == "Transition":
                yield from _fault_of(child)
                continue
            length = self.length(child, depth + 1)
            cuts = _from(at, length)
            reach = Range(at - _overlap(children, number - 1, "in"), cuts.end + _overlap(children, number + 1, "out"))
            yield from self._visit(child, cuts, reach.cut_to(window), depth + 1)
            if length is None:
                yield from self._lost(children[number + 1 :], child)
                return
            at = cuts.end

    def _lost(self, children: list[Object], after: Object) -> Iterator[Left]:
        reason = f"has no place that can be known: it comes after {label(after)}, which does not say how long it is"
        for child in children:
            if schema(child) not in {"Gap", "Transition"} and not self._tally.is_empty(child):
                yield Left(label(child), f"{reason}{self._with_all_in(child)}")

    def _with_all_in(self, item: Object) -> str:
        return f", and so {self._tally.words(item)} in it" if schema(item) in COMPOSITIONS else ""


def _clip(clip: Object, origin: int, cuts: Range, reach: Range) -> Iterator[Found]:
    visible = cuts.cut_to(reach)
    placed = Placed(clip, visible if visible.length > 0 else reach, reach)
    yield placed
    yield from markers_of(clip, origin, reach, placed)


def markers_of(item: Object, origin: int, reach: Range, on: Placed | None) -> Iterator[Found]:
    """Yield the markers on an item whose own time begins at `origin`; those that its reach does not show are left."""
    for marker in list_of(item, "markers"):
        # Marker.1 called it range.
        held = marker.get("marked_range", marker.get("range")) if isinstance(marker, dict) else None
        try:
            place = range_of(held).moved(origin)
        except ValueError as error:
            yield Left(label(marker), f"on {label(item)} has no place: {error}", is_marker=True)
            continue
        if reach.start <= place.start < reach.end:
            yield Marked(marker, place, on)
        else:
            yield Left(label(marker), f"lies outside the part that is shown of {label(item)}", is_marker=True)


def _range_in(item: Object, held: Any) -> Range:
    try:
        return range_of(held)
    except ValueError as error:
        raise ValueError(f"{label(item)}: {error}") from error


def _ends(track: Object) -> int:
    """Return what transitions at the very ends of a track add to its length (opentimelineio, Track.available_range)."""
    children = children_of(track)
    return _overlap(children, 0, "in") + _overlap(children, len(children) - 1, "out")


def _overlap(children: list[Object], number: int, side: str) -> int:
    """Return how far the transition at this place, if there is one, reaches beyond the cut on one side."""
    child = children[number] if 0 <= number < len(children) else {}
    if schema(child) != "Transition":
        return 0
    try:
        return max(flicks_of(child.get(f"{side}_offset")), 0)
    except ValueError:
        return 0  # _fault_of tells of it


def _fault_of(transition: Object) -> Iterator[Left]:
    try:
        lengths = [flicks_of(transition.get(f"{side}_offset")) for side in ("in", "out")]
    except ValueError as error:
        yield Left(label(transition), f"lengthens nothing: {error}")
        return
    if min(lengths) < 0:
        yield Left(label(transition), "has a length below 0 on one side of its cut; that side counts as 0")


def _unsaid(item: Object) -> str:
    if schema(item) == "Clip":
        return "it has neither source_range nor available_range"
    return "it has no source_range" if schema(item) in _TIMED else "it has no source_range, and is not known"


def _from(start: int, length: int | None) -> Range:
    """Return the range of so many flicks from here on; it does not end where the length is not known."""
    return Range(start, EVER.end if length is None else start + length)
