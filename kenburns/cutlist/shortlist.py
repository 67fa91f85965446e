"""The few of thousands of names that are worth comparing with a text word by word."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray
from rapidfuzz import fuzz, process
from rapidfuzz.distance import Indel

from .likeness import ALIKE, Weigh
from .names import Name

_LENGTH = 40  # names
_ASKED, _FOUND = (
    0.35,
    0.9,
)  # share of the text's words in the name, or of the name's in the text, from which it is listed
_RUN_TOGETHER = 85.0  # likeness of two names without their spaces


class Shortlist:
    """Names, held by their words."""

    def __init__(self, names: Sequence[Name], weigh: Weigh) -> None:
        places: dict[str, list[int]] = defaultdict(list)
        for place, name in enumerate(names):
            for word in set(name.words):
                places[word].append(place)
        self._places = {word: np.array(held) for word, held in places.items()}
        self._words = list(places)
        self._weigh = weigh
        self._weights = np.array([sum(map(weigh, set(name.words))) or 1.0 for name in names])
        self._joined = ["".join(name.telling) for name in names]
        self._alike = cache(self._find_alike)

    def __call__(self, query: Name) -> set[int]:
        """Return the places of the names that may be like the query."""
        if not query.words or not self._joined:
            return set()
        shared = self._shared(query)
        asked, found = shared / sum(map(self._weigh, set(query.words))), shared / self._weights
        rough = np.where((asked >= _ASKED) | (found >= _FOUND), asked + 0.5 * found, 0.0)
        best = np.argsort(-rough, kind="stable")[:_LENGTH]
        return {int(place) for place in best if rough[place] > 0} | self._run_together(query)

    def _shared(self, query: Name) -> NDArray[np.float64]:
        """Return, for each name, the weight of the query's words that stand in it in about this spelling."""
        shared = np.zeros(len(self._joined))
        for asked in set(query.words):
            places = [self._places[word] for word in self._alike(asked)]
            if places:
                shared[np.unique(np.concatenate(places))] += self._weigh(asked)
        return shared

    def _find_alike(self, word: str) -> tuple[str, ...]:
        found = process.extract(word, self._words, scorer=Indel.normalized_similarity, score_cutoff=ALIKE, limit=None)
        return tuple(alike for alike, _, _ in found)

    def _run_together(self, query: Name) -> set[int]:
        joined = "".join(query.telling)
        found = process.extract(joined, self._joined, scorer=fuzz.ratio, score_cutoff=_RUN_TOGETHER, limit=_LENGTH)
        return {place for _, _, place in found}
