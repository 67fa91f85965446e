"""Runs of text shaped into placed glyphs, and glyphs drawn into coverage.

HarfBuzz shapes (joining, conjuncts, ligatures, marks, kerning) and draws. A line is shaped once for all sizes, in
units of 1/16384 em, y up: nothing is hinted, so lengths grow with the size alone. What the public functions return is
in frame pixels, y down, from the line's origin on the baseline.
"""

from __future__ import annotations

from functools import cache, lru_cache
from math import ceil, floor
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import uharfbuzz
from numpy.typing import NDArray

from .coverage import opened
from .families import file_of
from .runs import Run, runs

_EM = 16384
"""Units an em."""

_BOLDER = 1 / 24
"""How much wider, in em, a stem gets where a file has no weights (about the step of Noto Sans from 400 to 600)."""


class Ink(NamedTuple):
    """The box that holds a line's ink and its advance; `top` is negative above the baseline."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """Pixels from the leftmost ink or the origin to the rightmost ink or the advance."""
        return self.right - min(self.left, 0)


class Style(NamedTuple):
    """Family, weight (100 to 900) and language (BCP 47, "" for none) of a line."""

    family: str
    weight: int
    language: str


class Glyph(NamedTuple):
    """A glyph of a file with its origin in units, y up."""

    file: Path
    number: int
    x: int
    y: int


class Shaped(NamedTuple):
    """The glyphs of a line and its advance in units."""

    glyphs: tuple[Glyph, ...]
    advance: int


def _collector() -> uharfbuzz.DrawFuncs:
    """Return what appends every point of an outline, those that steer a curve too, to the list drawn into."""

    def append(*numbers_and_points: Any) -> None:
        *numbers, points = numbers_and_points
        points.extend(zip(numbers[::2], numbers[1::2], strict=True))

    collector = uharfbuzz.DrawFuncs()
    collector.set_move_to_func(append)
    collector.set_line_to_func(append)
    collector.set_quadratic_to_func(append)
    collector.set_cubic_to_func(append)
    return collector


_COLLECTOR = _collector()


@cache
def _font(file: Path, weight: int) -> uharfbuzz.Font:
    face = opened(file)
    font = uharfbuzz.Font(face)
    font.scale = (_EM, _EM)
    axis = next((axis for axis in face.axis_infos if axis.tag == "wght"), None)
    if axis:
        font.set_variations({"wght": min(max(weight, axis.min_value), axis.max_value)})
    elif weight >= 600:
        font.synthetic_bold = (_BOLDER, 0.0, False)
    return font


@lru_cache(maxsize=512)  # a line's glyphs are kilobytes; its measures, asked for far more often, are remembered apart
def shape(line: str, style: Style) -> Shaped:
    """Return the glyphs of a line, from left to right."""
    glyphs: list[Glyph] = []
    x = 0
    for run in runs(line, style.family):
        part = _shape_run(line, run, style)
        glyphs.extend(glyph._replace(x=glyph.x + x) for glyph in part.glyphs)
        x += part.advance
    return Shaped(tuple(glyphs), x)


def _shape_run(line: str, run: Run, style: Style) -> Shaped:
    buffer = uharfbuzz.Buffer()
    # The whole line goes along, so that letters join over the end of a run.
    buffer.add_str(line, run.start, run.end - run.start)
    buffer.direction = "rtl" if run.leftwards else "ltr"
    buffer.script = run.script
    if style.language:
        buffer.language = style.language
    uharfbuzz.shape(_font(run.file, style.weight), buffer)
    return _placed(run.file, buffer)


def _placed(file: Path, buffer: uharfbuzz.Buffer) -> Shaped:
    glyphs: list[Glyph] = []
    x = 0
    for info, position in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        glyphs.append(Glyph(file, info.codepoint, x + position.x_offset, position.y_offset))
        x += position.x_advance
    return Shaped(tuple(glyphs), x)


@cache
def _box(file: Path, number: int, weight: int) -> tuple[float, float, float, float] | None:
    """Return left, bottom, right, top of a glyph in units, y up; None for one without ink.

    The box of its outline's points: HarfBuzz's own extents are rounded to units of the file, in places into the ink.
    """
    points: list[tuple[float, float]] = []
    _font(file, weight).draw_glyph(number, _COLLECTOR, points)
    if not points:
        return None
    across, down = zip(*points, strict=True)
    return min(across), min(down), max(across), max(down)


@lru_cache(maxsize=4096)
def _extents(line: str, style: Style) -> Ink:
    """Return the box around a line's ink and advance in units, y down."""
    shaped = shape(line, style)
    boxes = [
        (glyph.x + box[0], -glyph.y - box[3], glyph.x + box[2], -glyph.y - box[1])
        for glyph in shaped.glyphs
        if (box := _box(glyph.file, glyph.number, style.weight))
    ]
    if not boxes:
        return Ink(0, 0, shaped.advance, 0)
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return Ink(min(lefts), min(tops), max(*rights, shaped.advance), max(bottoms))


def ink_of(line: str, style: Style, size: int) -> Ink:
    """Return the box around a line's ink and advance at `size` px an em, rounded outwards to whole pixels."""
    left, top, right, bottom = (edge * size / _EM for edge in _extents(line, style))
    return Ink(floor(left), floor(top), ceil(right), ceil(bottom))


def length_of(line: str, style: Style, size: int) -> float:
    """Return the advance of a line in px."""
    return _advance(line, style) * size / _EM


@lru_cache(maxsize=4096)
def _advance(line: str, style: Style) -> int:
    return shape(line, style).advance


def draw(
    line: str, style: Style, size: int, shift: tuple[float, float] = (0.0, 0.0)
) -> tuple[NDArray[np.uint8], int, int]:
    """Return the coverage of a line, 0 to 255, and the x and y of its first pixel from the line's origin.

    `shift` moves the line by parts of a pixel, right and down.
    """
    pen = uharfbuzz.RasterDraw()
    scale = size / _EM
    for glyph in shape(line, style).glyphs:
        pen.transform = (scale, 0.0, 0.0, scale, glyph.x * scale + shift[0], glyph.y * scale - shift[1])
        pen.draw_glyph(_font(glyph.file, style.weight), glyph.number)
    return _coverage(pen.render())


def _coverage(image: uharfbuzz.RasterImage) -> tuple[NDArray[np.uint8], int, int]:
    box = image.extents
    if not box.width or not box.height:
        return np.zeros((1, 1), np.uint8), 0, 0
    rows = np.frombuffer(image.buffer, np.uint8).reshape(box.height, box.stride)[::-1, : box.width]
    return np.ascontiguousarray(rows), box.x_origin, -(box.y_origin + box.height)


@cache
def ascent_and_descent(style: Style, size: int) -> tuple[float, float]:
    """Return how far the family's own lines reach above and below the baseline, in px, both positive."""
    extents = _font(file_of(style.family), style.weight).get_font_extents("ltr")
    return extents.ascender * size / _EM, -extents.descender * size / _EM
