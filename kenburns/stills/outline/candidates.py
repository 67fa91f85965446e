"""What could be the work's outline in a photograph: quadrangles of lines, boxes around masses, or the whole."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from .lines import Floats
from .mass import FILLING, MASS_TRAITS, ground_of, masses
from .nesting import nesting
from .profile_traits import on_border, profile_traits
from .profiles import profiles
from .quadrangle import Quadrangles, quadrangles, sides_of
from .rings import ring_traits
from .scorer import Scorer
from .traits import COLOUR, beside_sides, colours, traits

Rows = NDArray[np.float64]

LONGEST = 512  # px of the version that lines are looked for in
SHORTLIST = 40
_BLOCK = 0.9  # of the smallest rectangle around a mass: a disc fills pi / 4
_EVEN = 0.5  # narrowest by widest side of a ring that may be a border
_APART = 2.5  # px between two quadrangles that count as different, at their corners


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a photograph shows.

    A small version in L*a*b*; its quadrangles, the whole first, with a row of traits each (k, f) and the colours just
    outside and just inside each side (k, 4, 3); boxes around masses (n, 4, as shares of the sides) with their traits;
    the ground's colour (3) and traits.
    """

    lab: Floats
    quads: Quadrangles
    rows: Rows
    outside: Rows
    inside: Rows
    boxes: Rows
    masses: Rows
    wall: Rows
    ground: Rows


@dataclass(frozen=True, slots=True)
class Candidates:
    """k candidates: corners (k, 4, 2) as shares of the sides, a row of traits each; the first is the whole.

    `ringed` (k) says which have an even ring around them that another candidate bounds: a frame, a mount, or a border
    that belongs to the work. The last `masses` of them are boxes around masses.
    """

    corners: Rows
    rows: Rows
    ringed: NDArray[np.bool_]
    masses: int

    @property
    def blocks(self) -> NDArray[np.bool_]:
        """Which (k) are masses that all but fill a rectangle, upright or turned."""
        return self.rows[:, FILLING - MASS_TRAITS - 1] > _BLOCK


def lab_of(rgb: NDArray[np.uint8]) -> Floats:
    """Return CIE L*a*b* (D65) of a version at most `LONGEST` px."""
    ratio = min(1.0, LONGEST / max(rgb.shape[:2]))
    size = max(8, round(rgb.shape[1] * ratio)), max(8, round(rgb.shape[0] * ratio))
    small = cv2.resize(rgb, size, interpolation=cv2.INTER_AREA)
    return np.asarray(cv2.cvtColor(small.astype(np.float32) / 255, cv2.COLOR_RGB2LAB), np.float32)


def gather(rgb: NDArray[np.uint8]) -> Evidence:
    """Return the evidence in a photograph, uint8 (h, w, 3) sRGB."""
    lab = lab_of(rgb)
    upright, level = sides_of(lab)
    ground = ground_of(lab)
    quads = quadrangles(upright, level, (lab.shape[1], lab.shape[0]))
    beside = beside_sides(quads, upright, level)
    own = traits(quads, beside, ground.colour)
    rows = np.concatenate([own, np.tile(ground.traits, (len(own), 1))], axis=1)
    outside, inside = colours(beside.along, 1), colours(beside.along, 2)
    return Evidence(lab, quads, rows, outside, inside, *masses(ground), ground.colour, ground.traits)


def candidates(evidence: Evidence, scorer: Scorer) -> Candidates:
    """Return the whole, the likeliest quadrangles by the scorer, and the masses."""
    worth = scorer(evidence.rows)
    chosen = distinct(evidence.quads.corners, worth)
    corners, size = evidence.quads.corners[chosen], evidence.quads.size
    inside, outside = evidence.inside[chosen] / COLOUR, evidence.outside[chosen] / COLOUR
    rings = nesting(corners, worth[chosen], inside, outside, size)
    whole = np.arange(len(chosen)) == 0
    rows = np.concatenate([evidence.rows[chosen], rings, worth[chosen, None], whole[:, None]], axis=1)
    both = np.concatenate([corners / size, evidence.boxes[:, [[0, 1], [2, 1], [2, 3], [0, 3]]]])
    ringed = np.append(rings[:, 2] > _EVEN, np.zeros(len(evidence.boxes), np.bool_))
    rows = np.concatenate([_looked_at(evidence, both, worth[chosen]), _joined(rows, evidence)], axis=1)
    return Candidates(both, rows, ringed, len(evidence.boxes))


def _looked_at(evidence: Evidence, corners: Rows, worth: Rows) -> Rows:
    """Return what profiles say of candidates (k, 4, 2, as shares), and what their rings do; masses have none."""
    count, px, wall = len(worth), corners * evidence.quads.size, evidence.wall / COLOUR
    across = profiles(evidence.lab, px)
    rings = ring_traits(px[:count], across.of(count), worth, wall)
    rings = np.concatenate([rings, np.zeros((len(corners) - count, rings.shape[1]))])
    return np.concatenate([profile_traits(across, wall, on_border(corners)), rings], axis=1)


def _joined(rows: Rows, evidence: Evidence) -> Rows:
    """Return rows of quadrangles and of masses below one another, each with zeros for the other's traits."""
    count, own = len(evidence.boxes), evidence.rows.shape[1]
    of_masses = np.zeros((count, rows.shape[1]))
    of_masses[:, own - len(evidence.ground) : own] = evidence.ground
    left = np.concatenate([rows, of_masses])
    right = np.concatenate([np.zeros((len(rows), MASS_TRAITS)), evidence.masses])
    return np.concatenate([left, right, (np.arange(len(left)) >= len(rows))[:, None]], axis=1)


def distinct(corners: Rows, worth: Rows) -> NDArray[np.intp]:
    """Return the first and the `SHORTLIST` - 1 of highest worth that differ clearly from those before them."""
    kept = [0]
    open_ = np.ones(len(corners), np.bool_)
    open_[0] = False
    left = np.where(open_, worth, -np.inf)
    while len(kept) < SHORTLIST and np.isfinite(left).any():
        best = int(left.argmax())
        kept.append(best)
        left[np.abs(corners - corners[best]).max(axis=(1, 2)) < _APART] = -np.inf
    return np.array(kept, np.intp)
