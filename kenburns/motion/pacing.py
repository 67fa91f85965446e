"""How a move spends its frames: holds, travel, and the speed limit kept by a smaller move."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise

from .easing import easing
from .geometry import Rect
from .path import Shot, Stop, part_way, shot_path, speeds
from .views import Scene, Views

# Of a slot too short for its holds, this share at most is held, so that the rest still moves.
_MOST_HELD = 0.5

# Halvings when looking for the largest share of a move: finer than a millionth of it.
_HALVINGS = 20

# Frames in which the legs of a tour are compared.
_LEG_STEPS = 100


@dataclass(frozen=True, slots=True)
class Pace:
    """How calmly pictures move.

    easing: a name that `easing.easing` knows; head, tail: frames held at the two ends; rest: frames held at each
    middle stop of a tour; limit: frame pixels per frame, None where the limit is lifted; depth: how many times closer
    than the whole an undirected push in ends (1.25: four fifths of the whole view's width).
    """

    easing: str
    head: int
    tail: int
    rest: int
    limit: float | None
    depth: float

    def __post_init__(self) -> None:
        easing(self.easing)
        if min(self.head, self.tail, self.rest) < 0:
            raise ValueError(f"holds are 0 frames or more, not {self.head}, {self.tail} and {self.rest}")
        if not 1 <= self.depth < math.inf:
            raise ValueError(f"a push in ends 1 time closer than the whole or more, not {self.depth}")
        if self.limit is not None and not self.limit > 0:
            raise ValueError(f"a speed limit is above 0 px a frame, or None to lift it, not {self.limit}")


def held(view: Rect, frames: int, pace: Pace, notes: tuple[str, ...] = ()) -> Shot:
    """Return a hold on one view."""
    return Shot("hold", frames, (Stop(view, 0, frames - 1),), pace.easing, notes)


def timed(kind: str, views: Views, frames: int, pace: Pace, where: Scene) -> Shot:
    """Return the shot through the views, at least as many frames long, its travel shared out for even speed."""
    holds = _hold_lengths(len(views), frames, pace)
    steps = share_out(frames - sum(holds) + len(views) - 1, _leg_weights(kind, views, pace, where))
    # A stop arrives `steps` frames after the one before has left, and leaves `holds` - 1 frames after that.
    arrivals = accumulate((hold - 1 + step for hold, step in zip(holds, steps, strict=False)), initial=0)
    stops = (Stop(view, at, at + hold - 1) for view, at, hold in zip(views, arrivals, holds, strict=True))
    return Shot(kind, frames, tuple(stops), pace.easing)


def fastest(shot: Shot, where: Scene, since: int = 0) -> float:
    """Return the shot's largest speed in frame pixels a frame, from frame `since` on."""
    return float(speeds(shot_path(shot, where.still, where.frame), where.frame)[since:].max(initial=0.0))


def at_most(kind: str, views: Views, keep: float, frames: int, pace: Pace, where: Scene) -> Shot:
    """Return the largest part of the move between two views that keeps to the pace's limit on every frame.

    `keep` is the place on the way that stays when the move is made smaller: 0 its start, 0.5 its middle, 1 its end.
    """

    def make(views: Views) -> Shot:
        return timed(kind, views, frames, pace, where)

    part = largest_part(make, views, keep, f"the whole way in {frames} frames", pace, where)
    return made_of(make, part, frames, pace)


@dataclass(frozen=True, slots=True)
class Part:
    """So much of a move as the limit allows: two views, or one where it allows none; and a note where not all of it."""

    views: Views
    notes: tuple[str, ...] = ()


def largest_part(
    make: Callable[[Views], Shot], views: Views, keep: float, what: str, pace: Pace, where: Scene, since: int = 0
) -> Part:
    """Return the largest part of the way between two views whose shot keeps to the pace's limit from `since` on.

    `make` gives the shot of any part; `what` names the whole way in the note.
    """
    full, limit = make(views), math.inf if pace.limit is None else pace.limit
    speed = fastest(full, where, since)
    if speed <= limit:
        return Part(views)

    def part(share: float) -> Views:
        return _part(full.kind, views, share, keep, where)

    share = _largest_share(lambda share: fastest(make(part(share)), where, since) <= limit)
    note = f"kept to {_percent(share)} of the move: {too_fast(what, speed, limit)}"
    return Part(part(share) if share else part(0.0)[:1], (note,))


def made_of(make: Callable[[Views], Shot], part: Part, frames: int, pace: Pace) -> Shot:
    """Return the shot of a part; a hold where it is one view only."""
    if len(part.views) == 1:
        return held(part.views[0], frames, pace, part.notes)
    return replace(make(part.views), notes=part.notes)


def too_fast(what: str, speed: float, limit: float) -> str:
    """Return the half sentence that says what would break the limit, with its numbers."""
    return f"{what} would cross {speed:.1f} px of the frame a frame, and the limit is {limit:.1f}"


def share_out(total: int, weights: Sequence[float]) -> list[int]:
    """Return whole numbers that sum to `total` (at least one a weight), each at least 1, in proportion to `weights`.

    By largest remainder.
    """
    whole = sum(weights)
    ideal = [total * weight / whole if whole else 1.0 for weight in weights]
    above = [max(share - 1, 0.0) for share in ideal]
    spare, scale = total - len(weights), sum(above) or 1.0
    exact = [spare * share / scale for share in above]
    shares = [math.floor(share) for share in exact]
    by_remainder = sorted(range(len(weights)), key=lambda i: shares[i] - exact[i])
    for turn in range(spare - sum(shares)):
        shares[by_remainder[turn % len(weights)]] += 1
    return [1 + share for share in shares]


def shortened(hold: int, frames: int) -> int:
    """Return how many of so many frames are held, at least 1, so that half of them still move."""
    return min(max(hold, 1), max(int(frames * _MOST_HELD), 1))


def _hold_lengths(stops: int, frames: int, pace: Pace) -> list[int]:
    """Return the frames held at each stop, at least the one on which it is reached."""
    wanted = [max(hold, 1) for hold in (pace.head, *[pace.rest] * (stops - 2), pace.tail)]
    spare, above = max(int(frames * _MOST_HELD), stops) - stops, sum(wanted) - stops
    return wanted if above <= spare else [1 + (hold - 1) * spare // above for hold in wanted]


def _leg_weights(kind: str, views: Views, pace: Pace, where: Scene) -> list[float]:
    """Return the largest speed of each leg, were all given the same time; in proportion to it they run equally fast.

    Path length alone would not do: a frame's corners move up to half as fast again in a zoom with a pan as in a pan of
    the same length.
    """
    if len(views) == 2:
        return [1.0]
    legs = [(Stop(a, 0, 0), Stop(b, _LEG_STEPS, _LEG_STEPS)) for a, b in pairwise(views)]
    return [fastest(Shot(kind, _LEG_STEPS + 1, leg, pace.easing), where) for leg in legs]


def _part(kind: str, views: Views, share: float, keep: float, where: Scene) -> Views:
    start, end = views
    first = keep * (1 - share)
    # Worked out from its own end, so that a kept end comes out exact.
    last = 1 - (1 - keep) * (1 - share)
    return (
        part_way(kind, start, end, first, where.still, where.frame),
        part_way(kind, start, end, last, where.still, where.frame),
    )


def _largest_share(allowed: Callable[[float], bool]) -> float:
    """Return a share in [0, 1) that is allowed, within 2^-20 of one that is not; 0 stands for no move."""
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if allowed(middle) else (low, middle)
    return low


def _percent(share: float) -> str:
    return f"{share * 100:.0f} %" if share >= 0.01 else "less than 1 %"
