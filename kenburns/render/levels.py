"""Which levels of a photograph a path needs, and of each which part.

Level L is the photograph L times smaller: 1, 1.5, 2, 3, 4, 6 and so on. A view of scale s (source pixels a frame
pixel) is drawn from the largest level that leaves a last step of at least 1.2. So the last step is always below 2, and
never so near 1 that filtering twice would soften what one filter keeps: against one step from the photograph in float64
a least step of 1.1, 1.2 and 4/3 keeps 50, 55 and 58 dB, and every source sample not read is time won.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..motion.geometry import Rect, Size

Uint16s = NDArray[np.uint16]

LEAST_STEP = 1.2
BETWEEN = 1.5  # of the levels between two octaves, made from the one below

_MARGIN = 32  # samples of a level kept around what its frames show: filter reach of both planes and of the halving


@dataclass(frozen=True, slots=True)
class Sampling:
    """How many luma columns and rows share one chroma sample."""

    across: int
    down: int


SAMPLINGS = {"420": Sampling(2, 2), "422": Sampling(2, 1), "444": Sampling(1, 1)}


@dataclass(frozen=True, slots=True)
class Area:
    """Whole source pixels: x and y from the first, up to but without the last."""

    left: int
    top: int
    right: int
    bottom: int


@dataclass(frozen=True, slots=True)
class Plane:
    """Samples (h, w) uint16; the top-left corner of the first, and one sample's size, in source pixels."""

    samples: Uint16s
    left: int
    top: int
    across: float
    down: float


@dataclass(frozen=True, slots=True)
class Level:
    """The three planes of one level: luma as light, and two colour differences."""

    luma: Plane
    blue: Plane
    red: Plane


@dataclass(frozen=True, slots=True)
class Pyramid:
    """The levels of a photograph of `size`, by how many times smaller they are."""

    size: Size
    sampling: Sampling
    levels: Mapping[float, Level]


def scale_of(view: Rect, frame: Size) -> float:
    """Return how many source pixels a frame pixel shows."""
    return min(view.width / frame.width, view.height / frame.height)


def level_for(scale: float) -> float:
    """Return the level that a view of this scale, at least 1, is drawn from."""
    octave = max(2.0 ** (math.frexp(scale / LEAST_STEP)[1] - 1), 1.0)
    between = BETWEEN * octave
    return between if scale >= LEAST_STEP * between else octave


def octave_below(level: float) -> float:
    """Return the octave that a level is, or is made from."""
    return 2.0 ** (math.frexp(level)[1] - 1)


def needed_areas(views: Iterable[Rect], frame: Size, size: Size) -> dict[float, Area]:
    """Return, for each level that the views use, the area of the photograph that they show, filter margins included."""
    areas: dict[float, Area] = {}
    for view in views:
        level = level_for(scale_of(view, frame))
        area = grown(view, level, size)
        areas[level] = around(areas[level], area) if level in areas else area
    return areas


def octave_areas(areas: Mapping[float, Area], size: Size) -> dict[float, Area]:
    """Return the areas of the octaves that are needed themselves, or from which a needed level is made."""
    octaves: dict[float, Area] = {}
    for level, area in areas.items():
        octave = octave_below(level)
        wanted = area if octave == level else _with_margin(area, octave, size)
        octaves[octave] = around(octaves[octave], wanted) if octave in octaves else wanted
    return octaves


def grown(view: Rect, level: float, size: Size) -> Area:
    """Return whole pixels around a view, with the margin that filters at this level ask, on the grid of the level."""
    area = Area(math.floor(view.x), math.floor(view.y), math.ceil(view.right), math.ceil(view.bottom))
    return _with_margin(area, level, size)


def _with_margin(area: Area, level: float, size: Size) -> Area:
    margin = math.ceil(_MARGIN * level)
    grid = round(4 * level)  # whole chroma samples, and whole pixels also between octaves
    return Area(
        max((area.left - margin) // grid * grid, 0),
        max((area.top - margin) // grid * grid, 0),
        min(max(area.right + margin, grid), size.width),
        min(max(area.bottom + margin, grid), size.height),
    )


def around(a: Area, b: Area) -> Area:
    """Return the smallest area that holds both."""
    return Area(min(a.left, b.left), min(a.top, b.top), max(a.right, b.right), max(a.bottom, b.bottom))


def area_to_read(areas: Mapping[float, Area], size: Size) -> Area:
    """Return the area to read for all levels; it begins on the grid of the deepest."""
    octaves = octave_areas(areas, size)
    first, *others = octaves.values()
    for other in others:
        first = around(first, other)
    grid = round(4 * max(octaves))
    return Area(first.left // grid * grid, first.top // grid * grid, first.right, first.bottom)
