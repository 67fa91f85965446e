"""Where a line may be broken, and which way its parts read when it is."""

from __future__ import annotations

import re
from functools import lru_cache

from uniseg.linebreak import line_break_units

from .bidi import base_level
from .runs import script_of

_LEFT_TO_RIGHT, _RIGHT_TO_LEFT = "\u200e", "\u200f"

# Between two such characters a space is always a break (annex 14, LB18): of the rules that look across spaces, LB7 and
# LB14 to LB17 are about punctuation and combining marks. So what lies between can be broken by itself, and remembered.
_CERTAIN_BREAK = re.compile("(?<=[A-Za-z0-9] )(?=[A-Za-z0-9])")


@lru_cache(maxsize=256)
def units(paragraph: str) -> tuple[str, ...]:
    """Return the pieces of a paragraph that a line keeps whole, each with the spaces after it.

    Unicode Standard Annex 14; Korean is broken at spaces only, as its section 8.2 allows and books do.
    """
    pieces: list[str] = []
    for unit in (unit for part in _CERTAIN_BREAK.split(paragraph) for unit in _line_break_units(part)):
        if pieces and script_of(pieces[-1][-1]) == "Hang" == script_of(unit[0]):
            pieces[-1] += unit
        else:
            pieces.append(unit)
    return tuple(pieces)


@lru_cache(maxsize=1024)
def _line_break_units(part: str) -> tuple[str, ...]:
    return tuple(line_break_units(part))


def directed(lines: tuple[str, ...], paragraph: str) -> tuple[str, ...]:
    """Return the lines of a paragraph, each with a mark in front where alone it would be read from the wrong side.

    Unicode Standard Annex 9, P1 to P3: the direction is the paragraph's, which a line cut from it need not show.
    """
    base = base_level(paragraph)
    mark = _RIGHT_TO_LEFT if base else _LEFT_TO_RIGHT
    return tuple(line if base_level(line) == base else mark + line for line in lines)
