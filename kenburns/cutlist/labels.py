"""What the photographs are called: by their file names and, through the works list, by titles and numbers."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from .likeness import likeness
from .names import Name, is_faint, name_of_file, name_of_text
from .works import Work

FILE_NAME, TITLE, NUMBER = "file name", "title", "number"

_FAINT_WEIGHT, _COMMON_WEIGHT = 0.1, 0.2  # beside 1 for other words
_EACH = 2  # what a word weighs besides its letters, so that short ones count
_COMMON_FROM, _COMMON_SHARE = 5, 0.4  # from so many names on, a word in this share of them tells little; below, in all


@dataclass(frozen=True, slots=True)
class Label:
    """A name of a work or a file, and the files it leads to, as surely as `ceiling` says (0 to 100).

    work is the place in the works list, -1 for a file's own name.
    """

    name: Name
    by: str
    files: tuple[str, ...]
    ceiling: float = 100.0
    work: int = -1


class Weights:
    """How much a word tells, learnt from all names: words that stand in many of them tell little."""

    def __init__(self, names: Iterable[Name], people: Iterable[str]) -> None:
        listed = list(names)
        count = Counter(word for name in listed for word in set(name.words))
        often = max(2, len(listed) * _COMMON_SHARE if len(listed) >= _COMMON_FROM else len(listed))
        self._common = {word for word, times in count.items() if times >= often}
        self._common |= {word for person in people for word in name_of_text(person).words}

    def __call__(self, word: str) -> float:
        """Return the weight of a folded word, above 0."""
        if is_faint(word):
            return _FAINT_WEIGHT * (len(word) + _EACH)
        return (_COMMON_WEIGHT if self.is_common(word) else 1.0) * (len(word) + _EACH)

    def is_common(self, word: str) -> bool:
        """Whether the word stands in so many names, or names a photographer, that it tells little."""
        return word in self._common


def titles_of(work: Work) -> tuple[Name, ...]:
    """Return the names of a work, its year with each where the name has none."""
    years = name_of_text(work.year).years
    names = (name_of_text(title) for title in work.names)
    return tuple(name if name.years else replace(name, years=years) for name in names)


def number_key(text: str) -> str:
    """Return a work's number as it is compared: "No. 012" -> "12", "A-12" -> "a-12"."""
    name = name_of_text(text)
    bare = name.digits | name.years
    if len(bare) == 1 and not name.words and not name.counters:
        return next(iter(bare))
    return "".join(text.casefold().split())


def files_by(files: Sequence[str], held: Callable[[Name], frozenset[str]]) -> dict[str, list[str]]:
    """Return the files by each of the numbers (or years, or counters) that `held` takes from their names."""
    found: dict[str, list[str]] = defaultdict(list)
    for file in files:
        for number in held(name_of_file(file)):
            found[number].append(file)
    return found


def agree(work: Work, file: str, weights: Weights) -> bool:
    """Whether the words of a file's name leave it open that it shows this work: it has none, or they are its title."""
    name = name_of_file(file)
    told = [word for word in name.telling if not weights.is_common(word)]
    return not told or any(likeness(title, name, weights) >= 60 for title in titles_of(work))
