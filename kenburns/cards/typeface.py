"""The typeface of the cards: one variable file, opened once for each size and weight."""

from __future__ import annotations

from functools import cache

from PIL import ImageFont

from .coverage import coverage
from .families import DEFAULT, file_of

REGULAR = 400
SEMI_BOLD = 600
"""Weights as in the OpenType specification's 'wght' axis (and CSS font-weight)."""


@cache
def face(size: int, weight: int = REGULAR, family: str = DEFAULT) -> ImageFont.FreeTypeFont:
    """Return the typeface at `size` px an em, at least 1, and a weight from 100 to 900."""
    if size < 1:
        raise ValueError(f"text is at least 1 px an em, not {size}")
    font = ImageFont.truetype(str(file_of(family)), size)
    font.set_variation_by_axes([_axis_value(axis, weight) for axis in font.get_variation_axes()])
    return font


def _axis_value(axis: ImageFont.Axis, weight: int) -> int:
    if axis["name"] != b"Weight":
        return axis["default"] or 0
    return min(max(weight, axis["minimum"] or 0), axis["maximum"] or weight)


def missing_characters(text: str, family: str = DEFAULT) -> tuple[str, ...]:
    """Return the characters of `text` that the typeface lacks, each once, in order of appearance."""
    known = coverage(file_of(family))
    return tuple(dict.fromkeys(character for character in text if ord(character) not in known))


def substitute(text: str, family: str = DEFAULT) -> str:
    """Return `text` with "?" for each character that the typeface lacks, line breaks kept."""
    missing = missing_characters(text.replace("\n", ""), family)
    return text.translate({ord(character): "?" for character in missing})
