"""A card laid out at given sizes: what stands where, whether or not it fits."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import ceil
from typing import NamedTuple

from ..motion.geometry import Size
from .look import Look
from .runs import language_of
from .setting import Block, Line, bottom, right, sided, stack
from .text import breaks_words, shorten, wrap
from .typeface import REGULAR, SEMI_BOLD, face
from .wording import CardText


@dataclass(frozen=True, slots=True)
class Area:
    """The part of a frame that holds text, in whole frame pixels."""

    left: int
    top: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Sizes:
    """Pixels an em for the slot, for what is wanted and for all else; and the longest line of text in em."""

    title: int
    body: int
    small: int
    line: float


@dataclass(frozen=True)
class Layout:
    """A card's lines in three groups, each from (0, 0), and the least distance in px between groups.

    `head` (slot, reason) hangs from the top of the area; `label` (what is wanted, note) and `foot` (times, length)
    stand on its bottom, as a wall label stands below the place of a picture.
    """

    head: tuple[Line, ...]
    label: tuple[Line, ...]
    foot: tuple[Line, ...]
    gap: int

    def fits(self, area: Area) -> bool:
        """Whether no line crosses an edge of the area and the groups keep their distance."""
        lowest = self.label_top(area) if self.label else self.foot_top(area)
        return ceil(bottom(self.head)) + self.gap <= lowest and right(self.lines) <= area.width

    def foot_top(self, area: Area) -> int:
        """Return where the foot starts, in px below the top of the area."""
        return area.height - ceil(bottom(self.foot))

    def label_top(self, area: Area) -> int:
        """Return where the label starts, in px below the top of the area."""
        return self.foot_top(area) - self.gap - ceil(bottom(self.label))

    @property
    def lines(self) -> tuple[Line, ...]:
        """All lines of the three groups."""
        return self.head + self.label + self.foot

    def placed(self, area: Area) -> tuple[Line, ...]:
        """Return all lines where they stand in the frame."""
        groups = ((self.head, 0), (self.label, self.label_top(area)), (self.foot, self.foot_top(area)))
        return tuple(line.moved(area.left, area.top + down) for group, down in groups for line in group)


class _Style(NamedTuple):
    size: int
    weight: int
    colour: str


@dataclass(frozen=True, slots=True)
class _Column:
    """The column that all text of a card shares: px wide, and em long at most."""

    width: int
    line: float
    family: str
    language: str

    def block(self, text: str, style: _Style, space: float = 0.0) -> Block:
        font = face(style.size, style.weight, self.family, self.language)
        measure = min(self.width, self.line * style.size)
        paragraphs = text.split("\n") if text else ()
        lines = tuple(line for paragraph in paragraphs for line in wrap(paragraph, font, measure))
        return Block(lines, font, style.colour, space)

    def without_breaks(self, text: str, style: _Style, least: int) -> _Style:
        """Return the style at the largest size, down to `least`, that breaks no word; at `least` where each would."""
        for pixels in range(style.size, least, -1):
            if not breaks_words(text, face(pixels, style.weight, self.family, self.language), self.width):
                return style._replace(size=pixels)
        return style._replace(size=least)


def title_safe(frame: Size) -> Area:
    """Return the 90 % of the frame's width and height that are safe for text (SMPTE ST 2046-1), rounded inwards."""
    # A twentieth on each side, rounded up in whole numbers: 0.05 as a float could round up by one too many.
    left, top = -(-frame.width // 20), -(-frame.height // 20)
    return Area(left, top, frame.width - 2 * left, frame.height - 2 * top)


def lay_out(card: CardText, area: Area, sizes: Sizes, look: Look, note_lines: int | None = None) -> Layout:
    """Return the card at these sizes, with all lines of its note or the first `note_lines`, the last ending in "…"."""
    language = look.language or language_of(f"{card.wanted} {card.note}")
    column = _Column(area.width, sizes.line, look.typeface, language)
    small = sizes.small
    quiet = _Style(small, REGULAR, look.quiet)
    body = column.without_breaks(card.wanted, _Style(sizes.body, REGULAR, look.ink), small)
    title = column.without_breaks(card.slot, _Style(sizes.title, SEMI_BOLD, look.ink), body.size)
    note = column.block(card.note, quiet, 0.8 * small)
    wanted = [column.block(card.wanted, body), note if note_lines is None else _part(note, note_lines, area.width)]
    return Layout(
        stack([column.block(card.slot, title), column.block(card.reason, quiet, 0.6 * small)]),
        sided(stack(wanted), area.width),
        _foot(card, column, _Style(small, REGULAR, look.ink)),
        2 * small,
    )


def _part(block: Block, count: int, width: int) -> Block:
    return replace(block, lines=shorten(block.lines, count, block.font, width) if count else ())


def _foot(card: CardText, column: _Column, style: _Style) -> tuple[Line, ...]:
    """Set the times and the length side by side, or below each other where the column is too narrow."""
    times = " – ".join(filter(None, (card.start_timecode, card.end_timecode)))
    parts = [column.block(text, style, 0.3 * style.size) for text in (times, card.length) if text]
    row = _side_by_side(parts, 2 * style.size)
    single = all(len(part.lines) == 1 for part in parts)
    return row if single and right(row) <= column.width else stack(parts)


def _side_by_side(blocks: Iterable[Block], gutter: int) -> tuple[Line, ...]:
    row: tuple[Line, ...] = ()
    for block in blocks:
        start = ceil(right(row)) + gutter if row else 0
        row += tuple(line.moved(start, 0) for line in stack([block]))
    baseline = max((line.baseline for line in row), default=0)
    return tuple(replace(line, baseline=baseline) for line in row)
