"""How surely two names mean the same work: 0 to 100.

Words are compared one by one (a misspelt word counts less than it looks alike), each weighing its letters, faint and
common words little. What the query names must be there; what else a file name holds costs less. Then marks, numbers
and years set ceilings, for "Blue Kitchen" and "Blue Kitchen II" are one letter apart and two paintings.

The weights and ceilings are our own, set by the table of cases in the tests: 90 and more may be taken, less than 60
is no match.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rapidfuzz.distance import Indel

from .names import Name

Weigh = Callable[[str], float]  # a folded word -> its weight, above 0

ALIKE = 0.8  # similarity below which two words have nothing to do with each other
_MISSPELT = 1.5  # how much dearer a difference in spelling is than its share of the letters
_EXTRA = 0.3  # share of the score that words of the label which the query lacks can cost
_RUN_TOGETHER = 97.0  # "bluekitchen" for "Blue Kitchen"
_PHRASE = 70.0  # all words of the label in order somewhere in the query

_CONFLICT = 55.0  # II asked for, III found
_ELSEWHERE = 65.0  # II asked for, a detail found
_MISSING = 72.0  # II asked for, none found
_EXCESS = 84.0  # none asked for, II found
_SAID = 92.0  # 2 asked for, "no. 2" found
_LOOSE = 89.0  # 2 asked for, a leading 2 found that may number the file
_OTHER_NUMBER = 80.0
_OTHER_YEAR = 75.0
_NO_YEAR = 94.0
_OTHER_ORDER = 94.0


def likeness(query: Name, label: Name, weigh: Weigh) -> float:
    """Return how surely `label` (a file's name, a title) means what `query` asks for."""
    if not query.words or not label.words:
        return 0.0
    alike = max(_by_words(query.words, label.words, weigh), _run_together(query, label), _as_phrase(query, label))
    return min(alike, *(ceiling(query, label) for ceiling in _CEILINGS))


def _by_words(query: Sequence[str], label: Sequence[str], weigh: Weigh) -> float:
    grid = [[_spelling(asked, found) for found in label] for asked in query]
    asked = _covered([max(row) for row in grid], query, weigh)
    found = _covered([max(column) for column in zip(*grid, strict=True)], label, weigh)
    return 100 * asked * (1 - _EXTRA + _EXTRA * found)


def _spelling(a: str, b: str) -> float:
    """Return 1 for equal words, 0 for unlike ones."""
    if a == b:
        return 1.0
    similarity = Indel.normalized_similarity(a, b, score_cutoff=ALIKE)
    return 1 - _MISSPELT * (1 - similarity) if similarity else 0.0


def _covered(values: Sequence[float], words: Sequence[str], weigh: Weigh) -> float:
    weights = [weigh(word) for word in words]
    return sum(value * weight for value, weight in zip(values, weights, strict=True)) / sum(weights)


def _run_together(query: Name, label: Name) -> float:
    asked, found = "".join(query.telling), "".join(label.telling)
    return _RUN_TOGETHER * _spelling(asked, found) if asked and found else 0.0


def _as_phrase(query: Name, label: Name) -> float:
    """Return some likeness where the label's two or more telling words stand together in a longer query."""
    words = label.telling
    if len(words) < 2 or f" {' '.join(words)} " not in f" {' '.join(query.telling)} ":
        return 0.0
    return _PHRASE + min(len(words), 8)  # of two phrases the longer one


def _ceiling_of_marks(query: Name, label: Name) -> float:
    missing, excess = query.marks - label.marks, label.marks - query.marks
    said = missing & label.numbers | excess & query.numbers
    loose = missing & label.loose | excess & query.loose
    ceiling = _LOOSE if loose else (_SAID if said else 100.0)
    return min(ceiling, _ceiling(missing - said - loose, excess - said - loose))


def _ceiling(missing: frozenset[str], excess: frozenset[str]) -> float:
    if missing and excess:
        return _CONFLICT if {_kind(mark) for mark in missing} & {_kind(mark) for mark in excess} else _ELSEWHERE
    if missing:
        return _MISSING
    return _EXCESS if excess else 100.0


def _kind(mark: str) -> str:
    return "numeral" if mark.isdigit() or len(mark) == 1 else "view"


def _ceiling_of_numbers(query: Name, label: Name) -> float:
    asked, found = query.numbers | query.loose, label.numbers | label.loose
    return _OTHER_NUMBER if asked and found and not asked & label.digits and not found & query.digits else 100.0


def _ceiling_of_years(query: Name, label: Name) -> float:
    if not query.years or query.years & label.years:
        return 100.0
    return _OTHER_YEAR if label.years else _NO_YEAR


def _ceiling_of_order(query: Name, label: Name) -> float:
    asked = [word for word in query.telling if word in label.telling]
    return 100.0 if asked == [word for word in label.telling if word in query.telling] else _OTHER_ORDER


_CEILINGS = (_ceiling_of_marks, _ceiling_of_numbers, _ceiling_of_years, _ceiling_of_order)
