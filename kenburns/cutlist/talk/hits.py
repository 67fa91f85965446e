"""Where names of works are spoken, exactly or nearly so, before it is judged whether the work is meant.

Three ways, each bounded whatever the talk: letter for letter once words are in the singular and spaces do not count
("selfportrait"); with small slips around a name's rarest words; and a name's words in another order near each other.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from ..names import plain
from .sentences import Talk
from .spoken_names import LIGHT, SpokenName, is_numbering

EXACT, INFLECTED, SLIP, FAR, LOOSE = range(5)
"""How a name is spoken, the surest first: as it stands; in another number or word division; with a slip or two a
transcriber makes; with more; its words in another order."""

_ALIKE = 0.7  # likeness of a misheard word to one of a name, from which the words around it are compared
_SHORTEST = 4  # letters of a word that is looked for misheard
_MOST_PLACES = 300  # at which a name is looked for misheard
_ANCHORS = 2  # words of a name around which it is looked for
_LETTERS_A_SLIP, _LETTERS_A_FAR_SLIP = 8, 5  # one slip is small in so many letters; one is too many in fewer
_MOST_WORDS = 20  # of the talk that make up one name
_MOST_VOCABULARY = 50_000  # different words of a talk, above which none is looked for misheard
_LOOSE_SPAN = 4  # words that may stand between a name's words in another order


@dataclass(frozen=True, slots=True)
class Hit:
    """A name at the words first to last (inclusive) of the talk."""

    name: SpokenName
    first: int
    last: int
    way: int
    slips: int = 0


class Listener:
    """The words of a talk that count in names, held by what they are."""

    def __init__(self, talk: Talk) -> None:
        tokens = [word.token for word in talk.words]
        self._talk = talk
        self._places = [
            at for at, word in enumerate(talk.words) if word.token.folded not in LIGHT and not is_numbering(at, tokens)
        ]
        self._keys = [talk.words[at].key for at in self._places]
        self._sentences = [talk.words[at].sentence for at in self._places]
        self._by_key: dict[str, list[int]] = defaultdict(list)
        for place, key in enumerate(self._keys):
            self._by_key[key].append(place)
        self._vocabulary = [key for key in self._by_key if len(key) >= _SHORTEST and not key.isdigit()]
        self._near: dict[str, tuple[str, ...]] = {}

    def hits(self, names: Sequence[SpokenName]) -> Iterator[Hit]:
        """Yield every place where one of the names may be spoken."""
        yield from self._exact(names)
        for name in names:
            yield from self._misheard(name)
            yield from self._loose(name)

    def _exact(self, names: Sequence[SpokenName]) -> Iterator[Hit]:
        by_joined: dict[str, list[SpokenName]] = defaultdict(list)
        for name in names:
            by_joined[name.joined].append(name)
        beginnings = {joined[:length] for joined in by_joined for length in range(1, len(joined) + 1)}
        for first in range(len(self._keys)):
            said, last = "", first
            while last < min(len(self._keys), first + _MOST_WORDS) and self._same_sentence(first, last):
                said += self._keys[last]
                if said not in beginnings:
                    break
                for name in by_joined.get(said, ()):
                    yield self._hit(name, first, last, self._way(name, first, last))
                last += 1

    def _way(self, name: SpokenName, first: int, last: int) -> int:
        if tuple(self._keys[first : last + 1]) != name.keys:
            return INFLECTED
        said = (self._talk.words[self._places[at]].token for at in range(first, last + 1))
        same = (plain(a.folded) == plain(b) or a.key.isdigit() for a, b in zip(said, name.folded, strict=True))
        return EXACT if all(same) else INFLECTED

    def _hit(self, name: SpokenName, first: int, last: int, way: int, slips: int = 0) -> Hit:
        return Hit(name, self._places[first], self._places[last], way, slips)

    def _same_sentence(self, first: int, last: int) -> bool:
        return self._sentences[first] == self._sentences[last]

    # Misheard

    def _misheard(self, name: SpokenName) -> Iterator[Hit]:
        most = len(name.joined) // _LETTERS_A_FAR_SLIP
        if not most or name.part or len(self._vocabulary) > _MOST_VOCABULARY:
            return
        best: dict[int, tuple[int, int, int]] = {}
        for index, places in self._anchors(name):
            for place in places:
                found = self._best_window(name, index, place, most)
                if found:
                    best[found[1]] = min(found, best.get(found[1], found))
        for slips, first, last in best.values():
            small = slips <= max(1, len(name.joined) // _LETTERS_A_SLIP)
            yield self._hit(name, first, last, SLIP if small else FAR, slips)

    def _anchors(self, name: SpokenName) -> list[tuple[int, list[int]]]:
        """Return the rarest words of the name by their index in it, with the places of words like them."""
        found = []
        for index, key in enumerate(name.keys):
            if len(key) >= _SHORTEST and not key.isdigit():
                places = [place for near in self._words_near(key) for place in self._by_key[near]]
                found.append((index, places))
        usable = [(index, places) for index, places in found if 0 < len(places) <= _MOST_PLACES]
        return sorted(usable, key=lambda anchor: len(anchor[1]))[:_ANCHORS]

    def _words_near(self, key: str) -> tuple[str, ...]:
        if key not in self._near:
            found = process.extract(
                key, self._vocabulary, scorer=Levenshtein.normalized_similarity, score_cutoff=_ALIKE, limit=40
            )
            self._near[key] = tuple(word for word, _, _ in found)
        return self._near[key]

    def _best_window(self, name: SpokenName, index: int, place: int, most: int) -> tuple[int, int, int] | None:
        """Return the slips, first and last place of the words around `place` that are likest to the name, if any."""
        windows = [
            (first, first + length - 1)
            for first in range(place - index - 1, place - index + 2)
            for length in range(max(len(name.keys) - 1, 1), len(name.keys) + 2)
            if 0 <= first <= place < first + length <= len(self._keys)
            and self._same_sentence(first, first + length - 1)
        ]
        found = [(self._slips(name, first, last, most), first, last) for first, last in windows]
        told = [(slips, first, last) for slips, first, last in found if 0 < slips <= most]
        exact = any(slips == 0 for slips, _, _ in found)
        return None if exact or not told else min(told, key=lambda window: (window[0], window[2] - window[1]))

    def _slips(self, name: SpokenName, first: int, last: int, most: int) -> int:
        """Return how many letters differ, more than `most` where a number does."""
        keys = self._keys[first : last + 1]
        if [key for key in keys if key.isdigit()] != [key for key in name.keys if key.isdigit()]:
            return most + 1
        return Levenshtein.distance("".join(keys), name.joined, score_cutoff=most)

    # In another order

    def _loose(self, name: SpokenName) -> Iterator[Hit]:
        keys = {key for key, folded in zip(name.keys, name.folded, strict=True) if folded in name.weighty}
        if len(keys) < 2 or name.part or not all(key in self._by_key for key in keys):
            return
        rarest = min(keys, key=lambda key: len(self._by_key[key]))
        reach = len(keys) + _LOOSE_SPAN
        for place in self._by_key[rarest][:_MOST_PLACES]:
            held = {key: self._nearest(key, place) for key in keys}
            first, last = min(held.values()), max(held.values())
            if last - first < reach and self._same_sentence(first, last):
                yield self._hit(name, first, last, LOOSE)

    def _nearest(self, key: str, place: int) -> int:
        places = self._by_key[key]
        after = bisect_left(places, place)
        before = bisect_right(places, place) - 1
        near = [places[at] for at in (before, after) if 0 <= at < len(places)]
        return min(near, key=lambda at: abs(at - place))
