"""Passages of text set below each other in one column."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil

from ..motion.geometry import Size
from .fitting import EASY_LINE, LEAST_PIXELS
from .look import FLOOR, Look
from .passages import Passage, Role
from .runs import language_of
from .setting import Block, Line, aligned, bottom, sided, stack
from .text import breaks_words, fits, tidy, wrap
from .typeface import REGULAR, SEMI_BOLD, Face, face, missing_characters

_BALANCE_STEPS = 6


@dataclass(frozen=True, slots=True)
class Setting:
    """How passages are set: in a column px wide, in this look and language, at `scale` times the look's sizes."""

    width: int
    frame: Size
    look: Look
    language: str
    scale: float = 1.0

    def size(self, role: Role) -> int:
        """Return the px an em of a role, never below the floor."""
        look = self.look
        shares = {"title": look.title, "body": look.body, "list": (look.body + look.small) / 2, "small": look.small}
        # A frame much taller than wide takes its sizes from its width, or three words would fill a line.
        unit = min(float(self.frame.height), 1.25 * self.frame.width)
        return max(round(shares[role] * unit * self.scale), floor_pixels(self.frame))


def floor_pixels(frame: Size) -> int:
    """Return the smallest px an em of a card's text."""
    return max(ceil(FLOOR * frame.height), LEAST_PIXELS)


def readied(passages: Iterable[Passage], look: Look, card: str) -> tuple[Passage, ...]:
    """Return the passages tidied, without empty ones; ValueError naming each character that no typeface has."""
    tidied = (replace(passage, text="\n".join(tidy(passage.text))) for passage in passages)
    kept = tuple(passage for passage in tidied if passage.text)
    missing = missing_characters("".join(passage.text for passage in kept).replace("\n", ""), look.typeface)
    if missing:
        raise ValueError(
            f"{card}: no typeface has {', '.join(map(_named, missing))}; {look.typeface} and its fallbacks were "
            "searched; name a typeface file that has it, or write it otherwise"
        )
    if not kept:
        raise ValueError(f"{card} has no text; it needs at least one letter")
    return kept


def _named(character: str) -> str:
    shown = f"'{character}' " if character.isprintable() else ""
    return f"{shown}U+{ord(character):04X} {unicodedata.name(character, 'without a name')}"


def language(passages: Iterable[Passage], look: Look) -> str:
    """Return the language whose letter forms a card is set in: the look's, or as its text tells."""
    return look.language or language_of("".join(passage.text for passage in passages))


def set_column(passages: Sequence[Passage], setting: Setting) -> tuple[Line, ...]:
    """Return the lines of the passages, aligned in the column, from its top left corner."""
    lines = stack(block(passage, setting) for passage in passages)
    if setting.look.align == "centre":
        return tuple(aligned(line, 0.5, setting.width) for line in lines)
    return sided(lines, setting.width)


def block(passage: Passage, setting: Setting) -> Block:
    """Return the broken lines of a passage; those of titles and centred text are of about equal length."""
    size, look = setting.size(passage.role), setting.look
    weight = SEMI_BOLD if passage.role == "title" or passage.heading else REGULAR
    font = face(size, weight, look.typeface, setting.language)
    measure = min(float(setting.width), EASY_LINE * size)
    even = passage.role == "title" or look.align == "centre"
    broken = (wrap(text, font, _even(text, font, measure) if even else measure) for text in passage.text.split("\n"))
    lines = tuple(line for paragraph in broken for line in paragraph)
    return Block(lines, font, look.quiet if passage.quiet else look.ink, passage.space * size)


def _even(text: str, font: Face, measure: float) -> float:
    """Return about the narrowest measure that needs no more lines than `measure` does and breaks no word."""
    lines = len(wrap(text, font, measure))
    if lines < 2:
        return measure
    low, high = measure / lines / 2, measure
    for _ in range(_BALANCE_STEPS):
        middle = (low + high) / 2
        enough = len(wrap(text, font, middle)) <= lines and not breaks_words(text, font, middle)
        low, high = (low, middle) if enough else (middle, high)
    return high


def whole_words(passages: Iterable[Passage], setting: Setting) -> bool:
    """Whether every word fits its line at these sizes."""
    for passage in passages:
        font = face(setting.size(passage.role), SEMI_BOLD, setting.look.typeface, setting.language)
        if any(breaks_words(text, font, setting.width) for text in passage.text.split("\n")):
            return False
    return True


def height(lines: Iterable[Line]) -> int:
    """Return the px from the column's top to below its last line."""
    return ceil(bottom(lines))


def stands_in(line: Line, width: int) -> bool:
    """Whether a line is no wider than its column."""
    return fits(line.text, line.font, width)
