"""The size of a work as lists and captions give it -> height and width in centimetres.

Height stands before width (common practice for paintings and works on paper); a third number is a depth and is left
out. Where a size is given in two units ("80 x 60 cm (31 1/2 x 23 5/8 in)"), centimetres are taken.
"""

from __future__ import annotations

import re
import unicodedata
from fractions import Fraction

# Centimetres in a unit; the inch is 2.54 cm exactly (international yard and pound agreement, 1959).
_CENTIMETRES = {
    **dict.fromkeys(("mm",), Fraction(1, 10)),
    **dict.fromkeys(("cm", "cms"), Fraction(1)),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), Fraction(100)),
    **dict.fromkeys(("in", "ins", "inch", "inches", '"', "″", "”"), Fraction(254, 100)),
}
_LARGEST = 10_000  # cm: a work of more than a hundred metres is a slip of the unit
_LONGEST = 200  # characters of a cell that are looked at
_NUMBER = r"(\d{1,6}(?:[.,]\d{1,6})?(?:\s+\d{1,2}[/⁄]\d{1,3})?)"
_UNIT = r"(?:(mm|cms?|met(?:re|er)s?|m|inch(?:es)?|ins?|\"|″|”)(?![a-wyz])\.?)?"
_LABEL = r"(?:[hwd]\.?:?\s*)?"
_ONE = re.compile(rf"{_NUMBER}\s*{_UNIT}", re.ASCII | re.IGNORECASE)
_PAIR = re.compile(
    rf"{_LABEL}{_NUMBER}\s*{_UNIT}\s*(?:x|by|/)\s*{_LABEL}{_NUMBER}\s*{_UNIT}(?:\s*(?:x|by|/)\s*{_LABEL}{_NUMBER}\s*{_UNIT})?",
    re.ASCII | re.IGNORECASE,
)


def read_extent(text: str, unit: str = "cm") -> float:
    """Return one extent in centimetres; unit is the header's, taken where the cell names none.

    Raise ValueError where the text is no number above 0 with or without a unit.
    """
    found = _ONE.fullmatch(_plain(text))
    if not found:
        raise ValueError("not a height or width; a number with or without its unit (80, 80.5 cm, 800 mm) would work")
    return _extent(found.group(1), found.group(2) or unit)


def read_size(text: str, unit: str = "cm") -> tuple[float, float]:
    """Return (height, width) in centimetres of a text such as "80 x 60 cm"; unit is taken where the cell names none.

    Raise ValueError where no such pair of numbers above 0 stands in the text.
    """
    pairs = [_pair(found, unit) for found in _PAIR.finditer(_plain(text))]
    if not pairs:
        raise ValueError("not a size; height x width with or without a unit (80 x 60 cm) would work")
    height, width, named = next((pair for pair in pairs if pair[2] == "cm"), pairs[0])
    return _extent(height, named), _extent(width, named)


def _plain(text: str) -> str:
    spaced = re.sub(r"(?<=\d)(?=[¼½¾⅛⅜⅝⅞])", " ", text[:_LONGEST])
    return " ".join(unicodedata.normalize("NFKC", spaced).replace("×", "x").split())


def _pair(found: re.Match[str], unit: str) -> tuple[str, str, str]:
    height, first, width, second, _, third = found.groups()
    return height, width, (third or second or first or unit).lower()


def _extent(number: str, unit: str) -> float:
    whole, _, part = number.replace(",", ".").replace("⁄", "/").partition(" ")
    try:
        value = (Fraction(whole) + (Fraction(part.strip()) if part else 0)) * _CENTIMETRES[unit.lower()]
    except ZeroDivisionError:
        value = Fraction(0)
    if not 0 < value <= _LARGEST:
        raise ValueError(f"{float(value):g} cm is no size of a work; a size lies above 0 and at most at 100 m")
    return float(value)
