"""What the ring between one outline and the next is made of: frame, mount, or a border that belongs to the work.

A frame's four sides are of one colour, each in its own light; a mount is pale and even; a painted border is lit as one.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from .nesting import gaps_between
from .profiles import DEPTHS, Profiles

Rows = NDArray[np.float64]
Indices = NDArray[np.intp]

RING = 19
_THIN = 0.8  # px below which two outlines have no ring between them
_EVEN = 0.4  # narrowest by widest side of what counts as a ring
_ACROSS = np.array([0.3, 0.5, 0.7])  # of a ring's width, where it is looked at
_PAST = 3.0  # px beyond a ring's edges
_WIDTH = 51.2  # px that count as 1


def ring_traits(corners: Rows, across: Profiles, worth: Rows, wall: Rows) -> Rows:
    """Return (k, 4 * RING + 6): for each of k quadrangles its rings outwards and inwards, the nearest and the next.

    `corners` (k, 4, 2) are in px, the first one the whole, which bounds no ring; `worth` (k) is how likely each is an
    outline by itself; `wall` (3) is the ground's colour, L*a*b* over 20. The last six: how many quadrangles lie evenly
    around and within, the likeliest of either against this one, its place by worth, and its worth against the best.
    """
    gaps = gaps_between(corners)
    even = _evenness(gaps)
    around = even > _EVEN
    outer, inner = _nearest(around, gaps), _nearest(around.T, gaps.transpose(1, 0, 2))
    outwards = _ring(corners, across, worth, wall, gaps, outer, 1)
    inwards = _ring(corners, across, worth, wall, gaps.transpose(1, 0, 2), inner, -1)
    return np.concatenate(
        [outwards, inwards, _next(outwards, outer), _next(inwards, inner), _standing(around, worth)], axis=1
    )


def _evenness(gaps: Rows) -> Rows:
    """Return narrowest by widest side of the ring from i out to j (k, k), 0 where there is none."""
    narrow, wide = gaps.min(axis=2), gaps.max(axis=2)
    even = np.where(narrow > _THIN, narrow / np.maximum(wide, 1e-6), 0.0)
    even[0], even[:, 0] = 0.0, 0.0
    return np.asarray(even)


def _nearest(there: NDArray[np.bool_], gaps: Rows) -> Indices:
    """Return the partner (k) across the narrowest ring, -1 where there is none."""
    width = np.where(there, gaps.mean(axis=2), np.inf)
    return np.where(there.any(axis=1), width.argmin(axis=1), -1)


def _next(found: Rows, partner: Indices) -> Rows:
    """Return the partner's own ring in the same direction."""
    return np.where(partner[:, None] >= 0, found[partner], 0.0)


def _ring(
    corners: Rows, across: Profiles, worth: Rows, wall: Rows, gaps: Rows, partner: Indices, outwards: int
) -> Rows:
    """Return the traits (k, RING) of the ring to each quadrangle's partner, zeros where it has none."""
    there = partner >= 0
    gap = np.where(there[:, None], gaps[np.arange(len(partner)), partner], 1.0)
    depth = -outwards * gap[:, :, None]
    seen = _at(across.mean, depth * _ACROSS)
    along = _at(across.spread[..., None], depth * _ACROSS)[..., 0]
    beyond = _at(across.mean, depth - outwards * _PAST)[:, :, 0]
    before = _at(across.mean, np.full_like(depth, outwards * _PAST))[:, :, 0]
    side = seen.mean(axis=2)
    mean = side.mean(axis=1)
    size = np.sqrt(np.ptp(corners[..., 0], axis=1) * np.ptp(corners[..., 1], axis=1))
    found = [
        gap.min(axis=1) / np.maximum(gap.max(axis=1), 1e-6),
        gap.mean(axis=1) / _WIDTH,
        4 * gap.mean(axis=1) / np.maximum(size, 1),
        *_light(side, mean),
        np.linalg.norm(seen - side[:, :, None], axis=-1).mean(axis=(1, 2)),
        along.mean(axis=(1, 2)),
        along.mean(axis=2).max(axis=1),
        *mean.T,
        np.linalg.norm(mean[:, 1:], axis=1),
        np.linalg.norm(mean - wall, axis=1),
        *_apart(side, beyond),
        *_apart(side, before),
        np.linalg.norm(beyond.mean(axis=1) - wall, axis=-1),
        worth[partner] - worth,
    ]
    return np.where(there[:, None], np.stack(found, axis=1), 0.0)


def _light(side: Rows, mean: Rows) -> tuple[Rows, Rows]:
    """Return how far the four sides (k, 4, 3) differ in lightness, and in colour."""
    off = side - mean[:, None]
    return np.abs(off[..., 0]).mean(axis=1), np.linalg.norm(off[..., 1:], axis=-1).mean(axis=1)


def _apart(side: Rows, other: Rows) -> tuple[Rows, Rows]:
    """Return how far a ring differs from what lies beside it, in the mean of its sides and on the least side."""
    apart = np.linalg.norm(side - other, axis=-1)
    return apart.mean(axis=1), apart.min(axis=1)


def _at(profile: Rows, depth: Rows) -> Rows:
    """Return a profile (k, 4, d, c) at these depths (k, 4, n), between its own by straight lines."""
    below = np.clip(np.searchsorted(DEPTHS, depth) - 1, 0, len(DEPTHS) - 2)
    share = np.clip((depth - DEPTHS[below]) / (DEPTHS[below + 1] - DEPTHS[below]), 0, 1)[..., None]
    quad, side = np.arange(len(profile))[:, None, None], np.arange(4)[None, :, None]
    return np.asarray(profile[quad, side, below] * (1 - share) + profile[quad, side, below + 1] * share)


def _standing(around: NDArray[np.bool_], worth: Rows) -> Rows:
    """Return where each quadrangle stands among the others (k, 6)."""
    best = [np.where(there, worth[None], -np.inf).max(axis=1) - worth for there in (around, around.T)]
    found = [around.sum(axis=1) / 10, around.sum(axis=0) / 10, *(np.where(np.isfinite(b), b, 0.0) for b in best)]
    place = np.argsort(np.argsort(-worth, kind="stable"), kind="stable")
    return np.stack([*found, np.log1p(place), worth - worth.max()], axis=1)
