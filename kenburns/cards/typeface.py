"""A typeface at one size and weight, as Pillow's drawing takes it, shaped and with fallbacks."""

from __future__ import annotations

from functools import cache
from math import ceil, floor
from typing import Any

from PIL import Image, ImageFont

from .families import DEFAULT, file_of
from .runs import missing
from .shaping import Ink, Style, ascent_and_descent, draw, ink_of, length_of

REGULAR = 400
SEMI_BOLD = 600
"""Weights as in the OpenType specification's 'wght' axis (and CSS font-weight)."""


class Face(ImageFont.ImageFont):
    """A typeface with its fallbacks at one size, weight and language; a font for `PIL.ImageDraw`.

    Pillow's own shaping needs a library of the operating system for text from right to left and has no fallbacks.
    """

    def __init__(self, style: Style, size: int) -> None:
        self.style = style
        self.size = size

    @property
    def language(self) -> str:
        """The language (BCP 47) whose letter forms are drawn, "" for the typeface's own."""
        return self.style.language

    def ink(self, line: str) -> Ink:
        """Return the box around a line's ink and advance, px from its origin on the baseline."""
        return ink_of(line, self.style, self.size)

    def getbbox(self, text: str | bytes | bytearray, *_args: Any, **kwargs: Any) -> tuple[int, int, int, int]:
        """Return the box around a line from its anchor in whole px, as Pillow's fonts do."""
        left, top, right, bottom = self.ink(_plain(text))
        across, down = self._anchor(_plain(text), kwargs.get("anchor"))
        return floor(left + across), floor(top + down), ceil(right + across), ceil(bottom + down)

    def getlength(self, text: str | bytes | bytearray, *_args: Any, **_kwargs: Any) -> int:
        """Return the advance of a line in px, rounded up."""
        return ceil(length_of(_plain(text), self.style, self.size))

    def getmask2(self, text: str, _mode: str = "", *_args: Any, **kwargs: Any) -> tuple[Any, tuple[int, int]]:
        """Return the coverage of a line and where it starts from its anchor: what `ImageDraw.text` draws with."""
        start = kwargs.get("start") or (0.0, 0.0)
        across, down = self._anchor(text, kwargs.get("anchor"))
        rows, x, y = draw(text, self.style, self.size, (start[0] + across % 1, start[1] + down % 1))
        return Image.fromarray(rows).im, (x + floor(across), y + floor(down))

    def _anchor(self, text: str, anchor: str | None) -> tuple[float, float]:
        """Return how far the origin lies right of and below the anchor; letters as in Pillow: l m r, a m s d."""
        extents = ascent_and_descent(self.style, self.size)
        across = {"l": 0.0, "m": -self.getlength(text) / 2, "r": -self.getlength(text)}[(anchor or "la")[0]]
        down = {"s": 0.0, "a": extents[0], "d": -extents[1], "m": (extents[0] - extents[1]) / 2}[(anchor or "la")[1]]
        return across, down


def _plain(text: str | bytes | bytearray) -> str:
    return text if isinstance(text, str) else bytes(text).decode()


@cache
def face(size: int, weight: int = REGULAR, family: str = DEFAULT, language: str = "") -> Face:
    """Return the typeface at `size` px an em, at least 1, a weight from 100 to 900, for a language (BCP 47)."""
    if size < 1:
        raise ValueError(f"text is at least 1 px an em, not {size}")
    file_of(family)
    return Face(Style(family, weight, language), size)


def missing_characters(text: str, family: str = DEFAULT) -> tuple[str, ...]:
    """Return the characters that neither the typeface nor its fallbacks have, each once, in order of appearance."""
    return missing(text, family)


def substitute(text: str, family: str = DEFAULT) -> str:
    """Return `text` with "?" for each character that no typeface has, line breaks kept."""
    absent = missing_characters(text.replace("\n", ""), family)
    return text.translate({ord(character): "?" for character in absent})
