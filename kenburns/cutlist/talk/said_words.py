"""A text -> its words as they are compared: folded, in the singular, numbers as digits, each with its place.

Scripts that set no spaces (Chinese, Japanese, Thai and their neighbours) have one word a character.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from ..folding import fold
from ..names import plain
from .numbers_said import digits_of, number_said, roman_of

_UNSPACED = "\u0e00-\u0eff\u1000-\u109f\u1780-\u17ff\u3040-\u30ff\u3400-\u4dbf\u4e00-\u9fff\uf900-\ufaff"
_LONGEST_WORD = 60  # characters; a longer run of letters is no word
_TOKEN = re.compile(
    rf"[{_UNSPACED}]|(?:(?![{_UNSPACED}])[^\W_]){{1,{_LONGEST_WORD}}}"
    rf"(?:['’ʼ](?:(?![{_UNSPACED}])[^\W_]){{1,{_LONGEST_WORD}}}){{0,3}}"
)
_ELIDED = re.compile(r"^(?:l|d|qu|j|n|s|c|dell|nell|all|un)['’ʼ](?=.)")
_POSSESSIVE = re.compile(r"['’ʼ]s$|['’ʼ]$")
_MOST_WORDS_A_NUMBER = 5


@dataclass(frozen=True, slots=True)
class Token:
    """A word, or a number said in several words.

    text is characters start to end of the whole; folded has spaces where it is several; words are compared by key.
    """

    text: str
    start: int
    end: int
    folded: str
    key: str


def tokens(text: str) -> tuple[Token, ...]:
    """Return the words of a text in order."""
    return tuple(_with_numbers(text, [_token(found) for found in _TOKEN.finditer(text)]))


@lru_cache(maxsize=65536)
def key_of(folded: str) -> str:
    """Return a folded word as it is compared: umlauts spelt one way, in the singular."""
    return singular(plain(folded))


def singular(word: str) -> str:
    """Return a folded word without the commonest plural endings of English; other words as they are."""
    if len(word) < 4 or not word.endswith("s") or word.endswith(("ss", "us", "is")):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    return word[:-2] if word.endswith(("sses", "xes", "shes", "ches", "zes")) else word[:-1]


def _token(found: re.Match[str]) -> Token:
    text = found.group()
    folded = _POSSESSIVE.sub("", _ELIDED.sub("", fold(text)))
    folded = re.sub(r"['’ʼ]", "", folded)
    key = roman_of(text) or digits_of(folded) or key_of(folded)
    return Token(text, found.start(), found.end(), folded, key)


def _with_numbers(text: str, words: Sequence[Token]) -> Iterator[Token]:
    """Yield the words with each number that is said in one or several of them as one, in digits."""
    at = 0
    while at < len(words):
        number, count = number_said([word.folded for word in _run(text, words, at)])
        if not count:
            yield words[at]
            at += 1
            continue
        first, last = words[at], words[at + count - 1]
        folded = " ".join(word.folded for word in words[at : at + count])
        yield Token(text[first.start : last.end], first.start, last.end, folded, str(number))
        at += count


def _run(text: str, words: Sequence[Token], at: int) -> Sequence[Token]:
    """Return the words from `at` on with nothing but a space or a hyphen between them."""
    end = at + 1
    while end < min(len(words), at + _MOST_WORDS_A_NUMBER) and _joins(text[words[end - 1].end : words[end].start]):
        end += 1
    return words[at:end]


def _joins(gap: str) -> bool:
    return gap.strip() in {"", "-", "‐", "‑"}
