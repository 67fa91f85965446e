"""A photograph turned once into the planes that its views are drawn from: only the levels and areas they need."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from ..motion.geometry import Size
from .levels import BETWEEN, Area, Level, Plane, Pyramid, Sampling, area_to_read, octave_areas, octave_below
from .octaves import Strip, octaves
from .resample import TILE, Codes, axis, resample

_EVERYWHERE = (-1e12, 1e12)  # edges beyond reach: no matte shows, the border sample goes on


def build(strips: Iterable[Strip], areas: Mapping[float, Area], size: Size, sampling: Sampling) -> Pyramid:
    """Build the levels of `areas` from strips (h, w, 3) of sRGB values, uint8 or uint16 (white 255 or 65535).

    The strips cover `area_to_read(areas, size)` from the top down.
    """
    made = octaves(strips, octave_areas(areas, size), area_to_read(areas, size), sampling)
    return Pyramid(size, sampling, {level: _level(made, level, area) for level, area in areas.items()})


def _level(made: Mapping[float, Level], level: float, area: Area) -> Level:
    octave = made[octave_below(level)]
    if octave_below(level) == level:
        return octave
    return Level(_between(octave.luma, area), _between(octave.blue, area), _between(octave.red, area))


def _between(plane: Plane, area: Area) -> Plane:
    """Return the part of a plane that covers `area`, 1.5 times smaller; luma stays light."""
    across, down = plane.across * BETWEEN, plane.down * BETWEEN
    columns, rows = round(-((area.left - area.right) // across)), round(-((area.top - area.bottom) // down))
    samples = np.empty((rows, columns), np.uint16)
    along = axis(
        "crisp", plane.samples.shape[1], _EVERYWHERE, _first(area.left, plane.left, plane.across), BETWEEN, columns
    )
    downwards = axis(
        "crisp", plane.samples.shape[0], _EVERYWHERE, _first(area.top, plane.top, plane.down), BETWEEN, rows
    )
    as_it_is = Codes(0, 65536, light=False, dither=np.full((columns, TILE), 0.5, np.float32), lowest=0, highest=65535)
    resample(plane.samples, downwards, along, 0.0, as_it_is, samples)
    return Plane(samples, area.left, area.top, across, down)


def _first(start: int, plane_start: int, sample: float) -> float:
    """Return the centre of the first new sample, in samples of the plane."""
    return (start - plane_start) / sample + BETWEEN / 2
