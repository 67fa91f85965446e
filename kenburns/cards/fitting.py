"""The largest layout of a card that its frame can hold."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from math import ceil

from ..motion.geometry import Size
from .layout import Area, Layout, Sizes, lay_out
from .look import FLOOR, Look
from .setting import LEADING
from .typeface import REGULAR, face
from .wording import CardText

LEAST_PIXELS = 9
"""Below this many pixels an em, Latin letters run together (common practice)."""

EASY_LINE = 36.0
"""Longest line in em that is easy to read: 65 to 75 letters (common practice)."""

SHRINK = 0.93
"""Ratio of one try of text sizes to the one before."""


def fit(card: CardText, area: Area, frame: Size, look: Look) -> tuple[Layout, tuple[str, ...]]:
    """Return the largest layout of a drawable card that fits, and a remark where something had to give way.

    First all text shrinks, down to the floor; then the note loses its end; then the rest shrinks below the floor.
    ValueError where not even that fits.
    """
    for sizes in _readable(frame, look):
        if _may_fit(card, area, sizes, look):
            layout = lay_out(card, area, sizes, look)
            if layout.fits(area):
                return layout, ()
    return _with_part_of_note(card, area, sizes, look) or _below_floor(card, area, sizes, look)


def _readable(frame: Size, look: Look) -> Iterator[Sizes]:
    """Yield the look's own sizes, then smaller ones down to the floor; at each first with lines of easy length."""
    least = max(ceil(FLOOR * frame.height), LEAST_PIXELS)
    # A frame much taller than wide takes its sizes from its width, or three words would fill a line.
    unit = min(float(frame.height), 1.25 * frame.width)
    shares = (look.title, look.body, look.small)
    while True:
        title, body, small = (max(round(share * unit), least) for share in shares)
        yield Sizes(title, body, small, EASY_LINE)
        yield Sizes(title, body, small, float(frame.width))
        if title == least:
            return
        unit *= SHRINK


def _may_fit(card: CardText, area: Area, sizes: Sizes, look: Look) -> bool:
    """Whether the long texts could fit if no line had a gap at its end; spares breaking thousands of words in vain.

    The allowance of 15 % is for letters that hinting makes narrower at small sizes.
    """
    ems = _ems(card.note, look.typeface) + _ems(card.wanted, look.typeface)
    lines = 0.85 * ems * sizes.small / min(area.width, sizes.line * sizes.small)
    return lines * LEADING * sizes.small <= area.height


@lru_cache(maxsize=64)
def _ems(text: str, family: str) -> float:
    return face(100, REGULAR, family).getlength(text.replace("\n", " ")) / 100


def _with_part_of_note(card: CardText, area: Area, sizes: Sizes, look: Look) -> tuple[Layout, tuple[str, ...]] | None:
    """Return the card with as many lines of its note as fit; None where the rest alone does not fit."""
    whole = lay_out(card, area, sizes, look)
    if whole.fits(area):  # only where `_may_fit` guessed wrong
        return whole, ()
    layouts = [lay_out(card, area, sizes, look, 0)]
    while layouts[-1].fits(area):
        layouts.append(lay_out(card, area, sizes, look, len(layouts)))
    lines = len(layouts) - 2
    if lines < 0:
        return None
    shown = f"its first {lines} lines" if lines > 1 else "its first line" if lines else "none of it"
    return layouts[lines], (f"the note of {len(card.note)} characters is too long for the card, which shows {shown}",)


def _below_floor(card: CardText, area: Area, sizes: Sizes, look: Look) -> tuple[Layout, tuple[str, ...]]:
    for pixels in range(sizes.small - 1, 0, -1):
        layout = lay_out(card, area, Sizes(pixels, pixels, pixels, sizes.line), look, 0)
        if layout.fits(area):
            without = ", without its note" if card.note else ""
            return layout, (f"the text fits only at {pixels} px an em{without}, hard to read: shorten it",)
    raise ValueError(f"{area.width}x{area.height} px of title-safe area cannot hold the text of card '{card.slot}'")
