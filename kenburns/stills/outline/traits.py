"""What speaks for a quadrangle being a work's outline, as numbers for the scorer.

A side that counts parts one material, even along its whole length and alike on all four sides, from another inside it,
and stops at the corners. Lengths are shares of the photograph's, colours are CIE L*a*b* differences over 20.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .quadrangle import Quadrangles, Sides
from .strips import CHANNELS, OFFSETS

Rows = NDArray[np.float64]

PER_SIDE = 13
TRAITS = 3 * PER_SIDE + 12
COLOUR = 20.0
_BEYOND = 0.08


@dataclass(frozen=True, slots=True)
class Beside:
    """For each side of k quadrangles: strips' means, outside first, edge past its ends, whether it is a border.

    Shapes (k, 4, CHANNELS), (k, 4), (k, 4).
    """

    along: Rows
    past: Rows
    border: NDArray[np.bool_]


def traits(quads: Quadrangles, beside: Beside, ground: Rows) -> Rows:
    """Return (k, TRAITS) for k quadrangles; `ground` (3) is the photograph's colour at its border, L*a*b*."""
    along, past, border = beside.along, beside.past, beside.border
    far_out, out, inner, far_in = (colours(along, index) for index in range(len(OFFSETS)))
    spread = [spreads(along, index) for index in range(len(OFFSETS))]
    sides = np.stack(
        [
            along[..., 0],
            along[..., 1],
            past,
            _apart(out, inner),
            _apart(far_out, far_in),
            _apart(far_out, out),
            _apart(inner, far_in),
            _apart(out, ground),
            _apart(inner, ground),
            *spread,
        ],
        axis=2,
    )
    sides = np.where(border[:, :, None], 0.0, sides)
    four = [sides.mean(axis=1), sides.min(axis=1), sides.max(axis=1)]
    return np.concatenate([*four, _shape(quads), _alike(out, border), _alike(inner, border), _borders(border)], axis=1)


def beside_sides(quads: Quadrangles, upright: Sides, level: Sides) -> Beside:
    """Return what lies along and beside the sides of quadrangles that these lines make."""
    count = len(quads.corners)
    along, past = np.empty((count, 4, CHANNELS)), np.empty((count, 4))
    border = np.empty((count, 4), np.bool_)
    for side, of in enumerate((level, upright, level, upright)):
        lines, (start, stop) = quads.lines[:, side], quads.spans[:, side].T
        means = of.strips.between(lines, start, stop)
        along[:, side] = means if side in (0, 3) else _turned(means)
        reach = _BEYOND * (stop - start)
        ends = of.strips.between(lines, start - reach, start), of.strips.between(lines, stop, stop + reach)
        past[:, side] = (ends[0][:, 0] + ends[1][:, 0]) / 2
        border[:, side] = lines >= len(of.lines) - 2
    return Beside(along, past, border)


def colours(along: Rows, strip: int) -> Rows:
    """Return the mean colour (k, 4, 3) of a strip."""
    return np.asarray(along[..., 2 + 4 * strip : 5 + 4 * strip])


def spreads(along: Rows, strip: int) -> Rows:
    """Return how much a strip's colour varies along each side (k, 4), as a standard deviation."""
    squares = along[..., 5 + 4 * strip] - np.square(colours(along, strip)).sum(axis=2)
    return np.asarray(np.sqrt(np.maximum(squares, 0)) / COLOUR)


def _turned(means: Rows) -> Rows:
    """Return the strips in the opposite order."""
    strips = [means[:, 2 + 4 * index : 6 + 4 * index] for index in range(len(OFFSETS))]
    return np.concatenate([means[:, :2], *strips[::-1]], axis=1)


def _apart(a: Rows, b: Rows) -> Rows:
    return np.asarray(np.sqrt(np.square(a - b).sum(axis=-1)) / COLOUR)


def _alike(colour: Rows, border: NDArray[np.bool_]) -> Rows:
    """Return how far the colour of a strip differs between the sides that are no borders (k, 1)."""
    weight = np.where(border, 0.0, 1.0)[:, :, None]
    mean = (colour * weight).sum(axis=1, keepdims=True) / np.maximum(weight.sum(axis=1, keepdims=True), 1)
    squares = (np.square(colour - mean) * weight).sum(axis=(1, 2)) / np.maximum(weight.sum(axis=(1, 2)), 1)
    return np.asarray(np.sqrt(squares)[:, None] / COLOUR)


def _shape(quads: Quadrangles) -> Rows:
    """Return logarithms of area and aspect, how little opposite sides agree, the place, and margins (k, 8)."""
    corners = quads.corners / quads.size
    wide = corners[:, [1, 2], 0] - corners[:, [0, 3], 0]
    tall = corners[:, [3, 2], 1] - corners[:, [0, 1], 1]
    area = wide.mean(axis=1) * tall.mean(axis=1)
    aspect = np.log(wide.mean(axis=1) * quads.size[0] / (tall.mean(axis=1) * quads.size[1]))
    centre = np.abs(corners.mean(axis=1) - 0.5)
    lean = np.abs(quads.corners[:, [0, 3], 0] - quads.corners[:, [1, 2], 0])
    skew = np.abs(lean[:, 0] / np.maximum(lean[:, 1], 1) - 1), np.abs(tall[:, 0] / np.maximum(tall[:, 1], 1e-3) - 1)
    square = _square(quads.corners)
    return np.stack([np.log(area), np.abs(aspect), *centre.T, *skew, square, area], axis=1)


def _square(corners: Rows) -> Rows:
    """Return the mean absolute cosine of the corners' angles: 0 for a rectangle."""
    after, before = np.roll(corners, -1, axis=1) - corners, np.roll(corners, 1, axis=1) - corners
    lengths = np.linalg.norm(after, axis=2) * np.linalg.norm(before, axis=2)
    cosines = (after * before).sum(axis=2) / np.maximum(lengths, 1e-9)
    return np.asarray(np.abs(cosines).mean(axis=1) * 5)


def _borders(border: NDArray[np.bool_]) -> Rows:
    count = border.sum(axis=1)
    return np.stack([count / 4, count == 4], axis=1).astype(np.float64)
