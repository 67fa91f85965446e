"""The contact sheet's colours, the mark of each verdict, and numbered details: one source for page and picture.

A verdict is told by its word and by the shape of its mark; colour only helps.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache
from itertools import pairwise

from PIL import Image, ImageDraw

from ..cards.typeface import SEMI_BOLD, face
from .sheet import SETTLED, Outline, Share

# Neutral to the last digit, so that the ground tints no artwork; inks at least 7:1 on it (WCAG 2.2, 1.4.6).
GROUND = "#202020"
INK = "#f0f0f0"
QUIET = "#b8b8b8"
CALL = "#f0b860"
LINE = "#4a4a4a"

DARK, LIGHT = "#000000", "#ffffff"
"""Details are drawn light on dark, so that they stand out on any picture."""

_Place = tuple[float, float]


def colour_of(verdict: str) -> str:
    """Return the ink for a verdict."""
    return INK if verdict in SETTLED else CALL


@cache
def mark_picture(verdict: str, size: int) -> Image.Image:
    """Return a verdict's mark, `size` px square, on the sheet's ground.

    good: a disc; short: half a disc in a ring; small: a ring; words: three lines of text; missing: an empty square;
    unreadable: a cross.
    """
    # Pillow draws shapes without smoothing; four times the size, then averaged, is smooth.
    large = Image.new("RGB", (4 * size, 4 * size), GROUND)
    draw, colour, width, box = (
        ImageDraw.Draw(large),
        colour_of(verdict),
        max(size // 2, 4),
        (1, 1, 4 * size - 2, 4 * size - 2),
    )
    if verdict == "unreadable":
        draw.line(box, colour, width)
        draw.line((box[0], box[3], box[2], box[1]), colour, width)
    elif verdict == "words":
        for line, length in enumerate((4, 4, 2.6)):
            y = round((0.7 + 1.3 * line) * size)
            draw.line((1, y, round(length * size) - 2, y), colour, width)
    elif verdict == "missing":
        draw.rectangle(box, outline=colour, width=width)
    else:
        draw.ellipse(box, fill=colour if verdict == "good" else None, outline=colour, width=width)
    if verdict == "short":
        draw.pieslice(box, 90, 270, fill=colour)
    return large.reduce(4)


_SHAPES = {
    "good": '<circle cx="8" cy="8" r="7" fill="currentColor"/>',
    "short": '<circle cx="8" cy="8" r="6"/><path d="M8 2a6 6 0 0 0 0 12z" fill="currentColor"/>',
    "small": '<circle cx="8" cy="8" r="6"/>',
    "words": '<path d="M1 3h14M1 8h14M1 13h9"/>',
    "missing": '<rect x="2" y="2" width="12" height="12"/>',
    "unreadable": '<path d="M2 2l12 12M2 14L14 2"/>',
}


def mark_svg(verdict: str) -> str:
    """Return a verdict's mark as SVG in the current text colour."""
    shape = _SHAPES[verdict]
    return (
        '<svg class="mark" viewBox="0 0 16 16" aria-hidden="true" fill="none" stroke="currentColor" '
        f'stroke-width="2">{shape}</svg>'
    )


def draw_details(picture: Image.Image, details: tuple[Share, ...], size: int) -> None:
    """Draw numbered rectangles onto an RGB picture, the numbers `size` px an em."""
    draw = ImageDraw.Draw(picture)
    line = max(round(size / 10), 1)
    boxes = [_box(detail, picture) for detail in details]
    for x0, y0, x1, y1 in boxes:
        draw.rectangle((x0 - line, y0 - line, x1 + line, y1 + line), outline=DARK, width=3 * line)
        draw.rectangle((x0, y0, x1, y1), outline=LIGHT, width=line)
    # Numbers last, so that no rectangle crosses one.
    for number, (x0, y0, _, _) in enumerate(boxes, 1):
        _draw_number(draw, str(number), (x0, y0), size)


def draw_outline(picture: Image.Image, outline: Outline, size: int) -> None:
    """Draw where the work lies as a dashed line, for numbers of `size` px an em."""
    draw = ImageDraw.Draw(picture)
    line = max(round(size / 10), 1)
    corners = [(x * (picture.width - 1), y * (picture.height - 1)) for x, y in outline]
    for a, b in pairwise([*corners, corners[0]]):
        draw.line((a, b), DARK, 3 * line)
        for start, end in _dashes(a, b, 8 * line):
            draw.line((start, end), LIGHT, line)


def _dashes(a: _Place, b: _Place, dash: float) -> Iterator[tuple[_Place, _Place]]:
    """Yield every second piece of a line, each about `dash` long, the first and the last among them."""
    count = max(round(math.dist(a, b) / dash) // 2 * 2 + 1, 1)
    (ax, ay), (bx, by) = a, b
    at = [(ax + (bx - ax) * i / count, ay + (by - ay) * i / count) for i in range(count + 1)]
    yield from zip(at[::2], at[1::2], strict=True)


def _box(detail: Share, picture: Image.Image) -> tuple[int, int, int, int]:
    """Return the outermost pixels of a detail, at least one pixel inside the picture's own edge."""
    x, y, width, height = detail
    right, bottom = picture.width - 2, picture.height - 2
    x0, y0 = min(max(round(x * picture.width), 1), right), min(max(round(y * picture.height), 1), bottom)
    x1, y1 = round((x + width) * picture.width) - 1, round((y + height) * picture.height) - 1
    return x0, y0, max(min(x1, right), x0), max(min(y1, bottom), y0)


def _draw_number(draw: ImageDraw.ImageDraw, number: str, corner: tuple[int, int], size: int) -> None:
    font, (x, y) = face(size, SEMI_BOLD), corner
    width = max(font.getlength(number) + 0.7 * size, 1.4 * size)
    draw.rectangle((x, y, x + width, y + 1.4 * size), fill=DARK, outline=LIGHT, width=max(round(size / 10), 1))
    draw.text((x + width / 2, y + 0.7 * size), number, LIGHT, font, anchor="mm")
