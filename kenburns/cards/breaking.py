"""Where a line may be broken, and which way its parts read when it is."""

from __future__ import annotations

from functools import lru_cache

from uniseg.linebreak import line_break_units

from .bidi import base_level
from .runs import script_of

_LEFT_TO_RIGHT, _RIGHT_TO_LEFT = "\u200e", "\u200f"


@lru_cache(maxsize=2048)
def units(paragraph: str) -> tuple[str, ...]:
    """Return the pieces of a paragraph that a line keeps whole, each with the spaces after it.

    Unicode Standard Annex 14; Korean is broken at spaces only, as its section 8.2 allows and books do.
    """
    pieces: list[str] = []
    for unit in line_break_units(paragraph):
        if pieces and script_of(pieces[-1][-1]) == "Hang" == script_of(unit[0]):
            pieces[-1] += unit
        else:
            pieces.append(unit)
    return tuple(pieces)


def directed(lines: tuple[str, ...], paragraph: str) -> tuple[str, ...]:
    """Return the lines of a paragraph, each with a mark in front where alone it would be read from the wrong side.

    Unicode Standard Annex 9, P1 to P3: the direction is the paragraph's, which a line cut from it need not show.
    """
    base = base_level(paragraph)
    mark = _RIGHT_TO_LEFT if base else _LEFT_TO_RIGHT
    return tuple(line if base_level(line) == base else mark + line for line in lines)
