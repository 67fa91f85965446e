"""What a key may hold in a preset or in film.toml: each kind of value with its rule in words."""

from __future__ import annotations

import unicodedata
from fractions import Fraction
from typing import Annotated

from pydantic import AfterValidator, BeforeValidator, Field, PlainValidator, StringConstraints

from .cutlist.slots import CARDS
from .errors import OptionError, ShotError
from .motion.easing import easing
from .motion.geometry import Corners, Rect, corners_of, is_convex
from .motion.shots import parse_kind
from .motion.timebase import parse_rate
from .toml_file import broken, rule, said

LARGEST_PLACE = 1_000_000
"""Largest coordinate in a photograph, px; larger ones are slips of the hand."""

LEAST_SIDE, LARGEST_SIDE = 64, 16384
"""Sides of a frame, px: our own limits, wider than any encoder here needs."""

SIDE_RULE = f"an even whole number of pixels from {LEAST_SIDE} to {LARGEST_SIDE}"
OUTLINE_RULE = (
    "[x, y, width, height], or four corners [[x, y], ...] from top left clockwise, in pixels of the upright photograph"
)
RECT_RULE = "[x, y, width, height] in pixels of the upright photograph, x and y at least 0, sides above 0"
VIEW_RULE = "[x, y, width, height] in pixels of the upright photograph, which a view may reach beyond; sides above 0"
NUMBERS_RULE = "detail numbers as on the contact sheet, from 1 and each once, such as [2, 1]"


def one_form(name: str) -> str:
    """Return a file or slot name in Unicode's NFC: some systems hand out accents apart, some together."""
    return unicodedata.normalize("NFC", name)


def _even(side: int) -> int:
    if side % 2:
        raise broken(SIDE_RULE)
    return side


def _known_easing(name: str) -> str:
    try:
        easing(name)
    except OptionError as wrong:
        raise said(str(wrong)) from None
    return name


def _kind(text: object) -> str:
    if not isinstance(text, str):
        raise broken('a shot in quotes, such as "push in"')
    try:
        return parse_kind(text)
    except ShotError as wrong:
        raise said(str(wrong)) from None


def _card(text: object) -> str:
    if not isinstance(text, str) or text.strip().lower() not in CARDS:
        raise broken(f"one of {', '.join(CARDS)}")
    return text.strip().lower()


def _rate(value: object) -> Fraction:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise broken('frames a second, such as 25 or "30000/1001"')
    try:
        return parse_rate(value if isinstance(value, str) else f"{value:.10g}")
    except OptionError as wrong:
        raise said(str(wrong)) from None


def _rect(value: object) -> Rect:
    if not isinstance(value, list | tuple) or len(value) != 4 or not all(map(_is_place, value)):
        raise broken(RECT_RULE)
    x, y, width, height = map(float, value)
    if width == 0 or height == 0:
        raise broken(RECT_RULE)
    return Rect(x, y, width, height)


def _view(value: object) -> Rect:
    if not isinstance(value, list | tuple) or len(value) != 4 or not all(map(_is_place, map(_size_of, value))):
        raise broken(VIEW_RULE)
    x, y, width, height = map(float, value)
    if min(width, height) <= 0:
        raise broken(VIEW_RULE)
    return Rect(x, y, width, height)


def _size_of(value: object) -> object:
    """Return a number without its sign, anything else as it is."""
    return abs(value) if isinstance(value, int | float) and not isinstance(value, bool) else value


def _outline(value: object) -> Corners:
    if not isinstance(value, list | tuple) or len(value) != 4:
        raise broken(OUTLINE_RULE)
    if all(map(_is_place, value)):
        return corners_of(_rect(value))
    if not all(
        isinstance(corner, list | tuple) and len(corner) == 2 and all(map(_is_place, corner)) for corner in value
    ):
        raise broken(OUTLINE_RULE)
    a, b, c, d = ((float(x), float(y)) for x, y in value)
    if not is_convex((a, b, c, d)):
        raise broken(OUTLINE_RULE)
    return a, b, c, d


def _is_place(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and 0 <= value <= LARGEST_PLACE


def _number(value: object) -> object:
    # true is a whole number to Python, and never one to a person; None is refused with the key's own rule
    return None if isinstance(value, bool) or not isinstance(value, int | float) else value


def _list(value: object) -> object:
    if not isinstance(value, list | tuple):
        raise broken(f"a list of rectangles, each {RECT_RULE}")
    return value


def _each_once(numbers: tuple[int, ...]) -> tuple[int, ...]:
    if len(set(numbers)) != len(numbers):
        raise broken(NUMBERS_RULE)
    return numbers


Text = Annotated[str, StringConstraints(strip_whitespace=True)]
FilledText = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1), rule("text of at least one letter")]
Name = Annotated[str, StringConstraints(min_length=1), AfterValidator(one_form), rule("a name of at least one letter")]
FolderName = Annotated[
    str,
    StringConstraints(pattern=r"^[a-z0-9][a-z0-9_-]{0,39}$"),
    rule("a folder's name of at most 40 small letters, digits, - and _"),
]
Word = Annotated[str, StringConstraints(pattern=r"^[a-z0-9_]+$"), rule("a word of small letters, digits and _")]
Colour = Annotated[str, StringConstraints(pattern=r"^#[0-9a-fA-F]{6}$"), rule('a colour such as "#161616"')]
Side = Annotated[int, Field(strict=True, ge=LEAST_SIDE, le=LARGEST_SIDE), AfterValidator(_even), rule(SIDE_RULE)]
Easing = Annotated[str, AfterValidator(_known_easing)]

_Number = Annotated[float, Field(allow_inf_nan=False), BeforeValidator(_number)]
Seconds = Annotated[_Number, Field(ge=0, le=3600), rule("a number of seconds from 0 to 3600")]
SomeSeconds = Annotated[_Number, Field(ge=0.1, le=3600), rule("a number of seconds from 0.1 to 3600")]
Closeness = Annotated[_Number, Field(ge=1, le=100), rule("a number from 1, the whole picture, to 100")]
Share = Annotated[_Number, Field(gt=0, le=1), rule("a share of the frame's height above 0, at most 1")]
Angle = Annotated[_Number, Field(ge=0, le=360), rule("a number of degrees from 0 to 360")]
Handles = Annotated[int, Field(strict=True, ge=0, le=1000), rule("a whole number of frames from 0 to 1000")]

Switch = Annotated[bool, Field(strict=True), rule("true or false")]
Rate = Annotated[Fraction, PlainValidator(_rate)]
Kind = Annotated[str, PlainValidator(_kind)]
CardKind = Annotated[str, PlainValidator(_card)]
Area = Annotated[Rect, PlainValidator(_rect)]
Outline = Annotated[Corners, PlainValidator(_outline)]
Areas = Annotated[tuple[Area, ...], BeforeValidator(_list)]
View = Annotated[Rect, PlainValidator(_view)]
Views = Annotated[tuple[View, ...], BeforeValidator(_list)]
DetailNumber = Annotated[int, Field(strict=True, ge=1, le=99)]
DetailNumbers = Annotated[tuple[DetailNumber, ...], AfterValidator(_each_once), rule(NUMBERS_RULE)]

MOMENTS_RULE = "seconds from 0 to 3600, rising, such as [2.5, 6]"


def _moments(value: object) -> tuple[float, ...]:
    values = value if isinstance(value, list | tuple) else [value]
    numbers = [float(v) for v in values if isinstance(v, int | float) and not isinstance(v, bool) and 0 <= v <= 3600]
    if len(numbers) != len(values) or numbers != sorted(set(numbers)):
        raise broken(MOMENTS_RULE)
    return tuple(numbers)


Moments = Annotated[tuple[float, ...], PlainValidator(_moments)]
