"""Where each line of a card stands: blocks of lines stacked downwards from a top edge."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil, floor

from .bidi import base_level
from .text import Ink, ink
from .typeface import Face

LEADING = 1.32
"""Distance between baselines in em (common practice for running text on a screen: 1.2 to 1.45)."""

DESCENT = 0.24
"""Depth in em below the baseline that a line takes even where no letter descends, so that gaps look alike."""


@dataclass(frozen=True)
class Line:
    """A line of text with its colour, the x of its origin and the y of its baseline, in frame pixels."""

    text: str
    font: Face
    colour: str
    x: int
    baseline: int

    @cached_property
    def ink(self) -> Ink:
        """The box of the line's ink in frame pixels."""
        left, top, right, bottom = ink(self.text, self.font)
        return Ink(self.x + min(left, 0), self.baseline + top, self.x + right, self.baseline + bottom)

    def moved(self, x: int, y: int) -> Line:
        """Return the line `x` px further right and `y` px further down."""
        return replace(self, x=self.x + x, baseline=self.baseline + y)


@dataclass(frozen=True)
class Block:
    """Lines in one face and colour, and the space above them in pixels (none where the block stands first)."""

    lines: tuple[str, ...]
    font: Face
    colour: str
    space: float = 0.0


def stack(blocks: Iterable[Block]) -> tuple[Line, ...]:
    """Set blocks below each other, their left and top edges at (0, 0).

    A block's first line stands with its capitals at the top edge, or its ink where an accent rises higher, so that no
    ink crosses an edge whatever marks a text carries.
    """
    placed: list[Line] = []
    for block in blocks:
        for index, text in enumerate(block.lines):
            box = ink(text, block.font)
            baseline = _next_in_block(placed[-1], box) if index else _first_of_block(placed, block, box)
            placed.append(Line(text, block.font, block.colour, -floor(min(box.left, 0)), ceil(baseline)))
    return tuple(placed)


def _first_of_block(placed: list[Line], block: Block, box: Ink) -> float:
    if not placed:
        return max(-box.top, -ink("H", block.font).top)
    above = placed[-1]
    # Whether or not a line has tall or low letters, so that names below each other keep one distance.
    rise, fall = max(-box.top, -ink("Hd", block.font).top), max(DESCENT * above.font.size, ink("p", above.font).bottom)
    return max(above.baseline + fall, above.ink.bottom) + block.space + rise


def _next_in_block(above: Line, box: Ink) -> float:
    # Tall stacks of marks push the lines apart; ordinary text keeps the leading.
    return max(above.baseline + LEADING * above.font.size, above.ink.bottom - box.top)


def sided(lines: Iterable[Line], width: int) -> tuple[Line, ...]:
    """Move the lines that read from the right to the right edge of a column `width` px wide."""
    return tuple(aligned(line, float(base_level(line.text)), width) for line in lines)


def aligned(line: Line, side: float, width: int) -> Line:
    """Return a line at a place in its column: 0 left, 0.5 centred, 1 right; a line too wide stays at the left."""
    return line.moved(int(side * max(width - line.ink.right, 0)), 0)


def bottom(lines: Iterable[Line]) -> float:
    """Return the lowest y of baselines and ink, 0 for no lines."""
    return max((max(line.baseline, line.ink.bottom) for line in lines), default=0.0)


def right(lines: Iterable[Line]) -> float:
    """Return the highest x of ink and advance, 0 for no lines."""
    return max((line.ink.right for line in lines), default=0.0)
