"""How a card looks: ground, inks, sizes, typeface; and the contrast every ink must reach."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from .families import DEFAULT, file_of

LEAST_CONTRAST = 7.0
"""WCAG 2.2, success criterion 1.4.6 (enhanced, level AAA): text against its ground at least 7:1."""

FLOOR = 0.022
"""Smallest text of a card as a share of the frame's height (common practice: about 24 px in a 1080-line picture)."""

LARGEST = 0.25
"""Largest text of a card as a share of the frame's height."""

LEAST_SOFT, MOST_SOFT = 0.005, 0.2
"""Blur of a softened still as a share of the frame's height; below, its detail competes with the text."""

MOST_DRIFT = 1.25
"""A ground that comes closer than this draws the eye from the text (common practice: a few per cent)."""

_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


def rgb(colour: str) -> tuple[int, int, int]:
    """Return red, green and blue, 0 to 255, of a colour written "#rrggbb"; ValueError for any other writing."""
    if not _COLOUR.fullmatch(colour):
        raise ValueError(f"a colour is written '#rrggbb', such as '#161616', not {colour!r}")
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def luminance(colour: str) -> float:
    """Return the relative luminance, 0 (black) to 1 (white), of an sRGB colour "#rrggbb".

    WCAG 2.2, definition of relative luminance: L = 0.2126 R + 0.7152 G + 0.0722 B, each channel linearised first.
    """
    red, green, blue = (_linear(channel / 255) for channel in rgb(colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else float(((channel + 0.055) / 1.055) ** 2.4)


def contrast(a: str, b: str) -> float:
    """Return the contrast ratio of two colours "#rrggbb", 1 to 21, in either order.

    WCAG 2.2, definition of contrast ratio: (L1 + 0.05) / (L2 + 0.05), L1 being the lighter.
    """
    darker, lighter = sorted((luminance(a), luminance(b)))
    return (lighter + 0.05) / (darker + 0.05)


@dataclass(frozen=True, slots=True)
class Look:
    """How cards look.

    ground, ink, quiet: colours "#rrggbb"; title, body, small: text sizes as shares of the frame's height; typeface: a
    family's name or a file; align: "left" (right for text from right to left) or "centre"; language: BCP 47, for the
    forms of Chinese, Japanese and Korean characters, "" to tell by the text; soft: blur of a still behind the text, as
    a share of the frame's height, 0 for a plain ground; drift: how many times closer such a still comes at most, 1 for
    none.

    ValueError where an ink stands below 7:1 on the ground, where the sizes do not fall from title to body to small
    between 0.25 and 0.022, where there is no such typeface, and where another value is out of its range.
    """

    ground: str = "#161616"
    ink: str = "#f0f0f0"
    quiet: str = "#b2b2b2"
    title: float = 0.084
    body: float = 0.052
    small: float = 0.031
    typeface: str = DEFAULT
    align: Literal["left", "centre"] = "left"
    language: str = ""
    soft: float = 0.0
    drift: float = 1.0

    def __post_init__(self) -> None:
        file_of(self.typeface)
        for name in ("ink", "quiet"):
            _require_contrast(name, getattr(self, name), self.ground)
        if not FLOOR <= self.small <= self.body <= self.title <= LARGEST:
            raise ValueError(
                f"text sizes are shares of the frame's height with {FLOOR} <= small <= body <= title <= {LARGEST}, "
                f"not small {self.small}, body {self.body}, title {self.title}"
            )
        if self.align not in ("left", "centre"):
            raise ValueError(f"text is aligned 'left' or 'centre', not {self.align!r}")
        if not (self.soft == 0 or LEAST_SOFT <= self.soft <= MOST_SOFT):
            raise ValueError(f"soft is 0 for a plain ground, or {LEAST_SOFT} to {MOST_SOFT}, not {self.soft}")
        if not 1 <= self.drift <= MOST_DRIFT:
            raise ValueError(f"drift is 1 for none, up to {MOST_DRIFT}, not {self.drift}")


def _require_contrast(name: str, ink: str, ground: str) -> None:
    ratio = contrast(ink, ground)
    if ratio < LEAST_CONTRAST:
        # Rounded down, so that a ratio just short of the rule is never printed as if it met it.
        raise ValueError(
            f"{name} {ink} on ground {ground} has a contrast of {int(ratio * 100) / 100:.2f}:1; "
            f"a card needs at least {LEAST_CONTRAST:.0f}:1"
        )
