"""The names by which works may be spoken of, taken apart once: titles, other names, and the first part of a title."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..vocabulary import NUMBERING
from ..works import Work
from .said_words import Token, key_of, tokens
from .word_list import word_list

_LONGEST = 300  # characters of a name that are looked at
_MOST_WORDS = 16

# Words that speakers add and leave out; the others are articles that open a title in some language.
LIGHT = word_list("the a an and")
ARTICLES = word_list("the a an der die das den dem ein eine einen le la les un une el los las una il lo gli de het een")
SMALL = word_list(
    "of in on at by for from to with and or the a an as into over under near without il la le de du des der die das "
    "von mit im am auf et en sur dans di del della con e y da do"
)
"""Folded words of titles that stay without a capital."""

_PART = re.compile(r"[,:;(–—]| - ")
_NOT_ALONE = word_list("untitled study composition ohne sans senza sin zonder no number detail portrait still")


@dataclass(frozen=True, slots=True)
class SpokenName:
    """A name of the work at place `work` of the list.

    keys are its words as compared, articles left out; folded, the same words before that; other says that it is no
    title; part, that it is only how a title begins; article, that it has an article in the list.
    """

    work: int
    name: str
    keys: tuple[str, ...]
    folded: tuple[str, ...]
    other: bool = False
    part: bool = False
    article: bool = False

    @property
    def joined(self) -> str:
        """The keys without spaces."""
        return "".join(self.keys)

    @property
    def weighty(self) -> tuple[str, ...]:
        """The folded words that are no prepositions and the like."""
        return tuple(word for word in self.folded if word not in SMALL)


def spoken_names(works: Sequence[Work]) -> tuple[SpokenName, ...]:
    """Return the names of works, each once a work."""
    found: dict[tuple[int, tuple[str, ...]], SpokenName] = {}
    for place, work in enumerate(works):
        for name in _names(place, work):
            found.setdefault((place, name.keys), name)
    return tuple(found.values())


def is_numbering(at: int, words: Sequence[Token]) -> bool:
    """Whether a word only announces the number after it: "no. 7", "number seven"."""
    return words[at].folded in NUMBERING and at + 1 < len(words) and words[at + 1].key.isdigit()


def _names(place: int, work: Work) -> Iterator[SpokenName]:
    titles = [work.title] if work.title else []
    yield from (name for title in titles if (name := _name(place, title)))
    yield from (name for other in work.other_names if (name := _name(place, other, other=True)))
    for title in titles:
        part = _PART.split(title[:_LONGEST])[0].strip()
        name = _name(place, part, part=True) if part and part != title.strip() else None
        if name and not set(name.folded) <= _NOT_ALONE:
            yield name


def _name(place: int, name: str, *, other: bool = False, part: bool = False) -> SpokenName | None:
    words = tokens(name[:_LONGEST])[:_MOST_WORDS]
    article = len(words) > 1 and words[0].folded in ARTICLES
    kept = [word for at, word in enumerate(words) if word.folded not in LIGHT and not is_numbering(at, words)]
    if article and len(kept) > 1 and kept[0] is words[0]:  # an article of another language
        kept = kept[1:]
    keys = tuple(_key(word, last=at == len(kept) - 1 and at > 0) for at, word in enumerate(kept))
    if not "".join(keys):
        return None
    return SpokenName(place, name, keys, tuple(word.folded for word in kept), other, part, article)


def _key(word: Token, *, last: bool) -> str:
    return "1" if last and word.text == "I" else key_of(word.folded) if word.key == "" else word.key
