"""Numbers as people say them -> digits: "nineteen seventy-three" and "seventy-three", "second", "2nd", "II".

English number words in full; in German and French the numbers to twelve that are no word of English, which titles hold
most. A cardinal and its ordinal are one number, for "Ebb II" is read out as "ebb two" or "ebb the second".
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from ..vocabulary import ROMAN

_UNITS = {
    word: number
    for number, words in enumerate(
        (
            "one first",
            "two second zwei zweite deux deuxieme",
            "three third drei dritte trois troisieme",
            "four fourth vier quatre",
            "five fifth funf cinq",
            "six sixth sechs",
            "seven seventh sieben sept",
            "eight eighth acht huit",
            "nine ninth neun neuf",
        ),
        start=1,
    )
    for word in words.split()
}
_TEENS = {
    word: number
    for number, words in enumerate(
        (
            "ten tenth zehn dix",
            "eleven eleventh elf onze",
            "twelve twelfth zwolf douze",
            "thirteen thirteenth",
            "fourteen fourteenth",
            "fifteen fifteenth",
            "sixteen sixteenth",
            "seventeen seventeenth",
            "eighteen eighteenth",
            "nineteen nineteenth",
        ),
        start=10,
    )
    for word in words.split()
}
_TENS = {
    word: number
    for number, words in enumerate(
        (
            "twenty twentieth",
            "thirty thirtieth",
            "forty fortieth fourty",
            "fifty fiftieth",
            "sixty sixtieth",
            "seventy seventieth",
            "eighty eightieth",
            "ninety ninetieth",
        ),
        start=2,
    )
    for word in words.split()
}
_DIGITS = re.compile(r"0{0,9}(\d{1,9})(?:st|nd|rd|th)?", re.ASCII)


def number_said(words: Sequence[str]) -> tuple[int, int]:
    """Return the number that the folded words begin with, and of how many of them it is made: (0, 0) for none."""
    return _year(words) or _thousands(words) or _hundreds(words) or _below_hundred(words) or (0, 0)


def digits_of(word: str) -> str:
    """Return the number that one token writes in digits, also as "2nd"; "" for none."""
    found = _DIGITS.fullmatch(word)
    return found.group(1).lstrip("0") or "0" if found else ""


def roman_of(token: str) -> str:
    """Return the number that a token in capitals writes in Roman numerals, "" for none; I may be a pronoun."""
    return str(ROMAN[token.lower()]) if token.isupper() and token != "I" and token.lower() in ROMAN else ""


def _below_hundred(words: Sequence[str]) -> tuple[int, int] | None:
    if not words:
        return None
    first, then = words[0], words[1] if len(words) > 1 else ""
    if first in _TENS:
        return (_TENS[first] * 10 + _UNITS[then], 2) if then in _UNITS else (_TENS[first] * 10, 1)
    small = _TEENS.get(first) or _UNITS.get(first)
    return (small, 1) if small else None


def _hundreds(words: Sequence[str]) -> tuple[int, int] | None:
    head = 1 if words and words[0] == "a" else _UNITS.get(words[0], 0) if words else 0
    if not head or len(words) < 2 or words[1] != "hundred":
        return None
    return _with_rest(head * 100, words, 2)


def _thousands(words: Sequence[str]) -> tuple[int, int] | None:
    if len(words) < 2 or words[0] not in _UNITS or words[1] != "thousand":
        return None
    return _with_rest(_UNITS[words[0]] * 1000, words, 2)


def _with_rest(value: int, words: Sequence[str], at: int) -> tuple[int, int]:
    skip = 1 if words[at : at + 1] == ["and"] else 0
    rest = _below_hundred(words[at + skip :])
    return (value + rest[0], at + skip + rest[1]) if rest else (value, at)


def _year(words: Sequence[str]) -> tuple[int, int] | None:
    """Read a year said in two halves: nineteen eighty-seven, nineteen oh five, twenty twelve, nineteen hundred."""
    century = _TEENS.get(words[0], 20 if words[0] == "twenty" else 0) if words else 0
    if century < 14 or len(words) < 2:
        return None
    if words[1] == "hundred":
        return century * 100, 2
    if words[1] in {"oh", "o"} and len(words) > 2 and words[2] in _UNITS:
        return century * 100 + _UNITS[words[2]], 3
    half = _below_hundred(words[1:])
    return (century * 100 + half[0], 1 + half[1]) if half and half[0] >= 10 else None
