"""Finding the files that a text may mean, each with its best score and the reason for it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from .files import FileNames
from .labels import FILE_NAME, NUMBER, TITLE, Label, Weights, agree, files_by, number_key, titles_of
from .likeness import likeness
from .names import Name, name_of_file, name_of_text, phrases, without_suffix
from .shortlist import Shortlist
from .works import Work

_LINKED = 90.0  # a work leads to a file without its list saying so, from this score on
_NAMED_FULLY = 97.0
_FIRST_PHRASE, _OTHER_PHRASE = 93.0, 85.0  # a whole title in a part of the text
_ANOTHERS = 75.0  # the file shows another work than the one that is named fully

_IS_NUMBER_OF_WORK, _IS_NUMBER = 97.0, 95.0
_SAID_NUMBER, _DOUBTED_NUMBER = 92.0, 80.0  # a number said to be one, beside words that say nothing or something else
_IS_COUNTER = 92.0
_IS_SHORT_COUNTER, _IS_YEAR, _LEADING_NUMBER = 70.0, 75.0, 65.0

_Link = tuple[tuple[str, ...], float]  # the files of a work, and how surely they are its


@dataclass(frozen=True, slots=True)
class Finding:
    """A file, how surely it is meant (0 to 100) and by what: "file name", "title" or "number"."""

    file: str
    score: float
    by: str


class Search:
    """The names of all files and works, taken apart once."""

    def __init__(self, files: Sequence[str], works: Sequence[Work] = ()) -> None:
        self._files = tuple(dict.fromkeys(files))
        self._works = tuple(works)
        self._exact = FileNames(self._files)
        self._numbers = files_by(self._files, lambda name: name.digits)
        self._counters = files_by(self._files, lambda name: name.counters)
        self._years = files_by(self._files, lambda name: name.years)
        people = (text for work in works for text in (work.photographer, work.credit))
        self._weights = Weights((name_of_file(file) for file in self._files), people)
        stems = [Label(name_of_file(file), FILE_NAME, (file,)) for file in self._files]
        self._links = self._link(stems)
        self._labels = [*stems, *self._titles()]
        self._shortlist = Shortlist([label.name for label in self._labels], self._weights)
        self._owners = self._owned()
        self._work_numbers = self._numbered_works()

    def exact(self, name: str) -> tuple[Finding, ...]:
        """Return the files that have exactly this name."""
        return tuple(Finding(file, 100.0, FILE_NAME) for file in self._exact.find(name))

    def find(self, text: str) -> tuple[Finding, ...]:
        """Return every file that the text may mean, with its best score, rounded to a tenth."""
        if not text.strip():
            return ()
        given, text = text, without_suffix(text.strip())
        best: dict[str, Finding] = {}
        named = set(self._work_numbers.get(number_key(text), ()))
        for label, score in self._by_words(text):
            if score >= _FIRST_PHRASE and label.work >= 0:
                named.add(label.work)
            _keep(best, label, min(score, label.ceiling))
        for finding in tuple(self._by_number(text, best)):
            _keep_finding(best, finding)
        self._hold_back(best, named)
        for finding in self.exact(given):
            _keep_finding(best, finding)
        return tuple(replace(finding, score=round(finding.score, 1)) for finding in best.values())

    def _by_words(self, text: str) -> Iterator[tuple[Label, float]]:
        whole = name_of_text(text)
        parts = [name_of_text(part) for part in phrases(text)]
        for place in sorted(set().union(*map(self._shortlist, (whole, *parts)))):
            label = self._labels[place]
            yield label, max(self._likeness(whole, label), self._as_part(whole, parts, label))

    def _as_part(self, whole: Name, parts: Sequence[Name], label: Label) -> float:
        """Return the score of a name that is a part of the text; what distinguishes stands anywhere in it."""
        best = 0.0
        for place, part in enumerate(parts):
            told = replace(whole, words=part.words, telling=part.telling)
            most = _FIRST_PHRASE if place == 0 and label.by == TITLE else _OTHER_PHRASE
            best = max(best, most / 100 * self._likeness(told, label))
        return best

    def _likeness(self, query: Name, label: Label) -> float:
        return likeness(query, label.name, self._weights)

    def _hold_back(self, best: dict[str, Finding], named: set[int]) -> None:
        """Where the text names a work of the list, doubt the files that show only other works of it."""
        for file, finding in best.items():
            owners = self._owners.get(file, set())
            if named and owners and not owners & named and finding.score > _ANOTHERS:
                best[file] = replace(finding, score=_ANOTHERS)

    # Numbers

    def _by_number(self, text: str, words: dict[str, Finding]) -> Iterator[Finding]:
        name = name_of_text(text)
        key = number_key(text)
        yield from self._by_work_number(key, _IS_NUMBER_OF_WORK)
        if key in self._work_numbers and not key.isdigit():  # "A-4" is not a 4
            return
        if not name.telling:
            yield from self._by_bare_number(name)
            return
        for number in sorted(name.numbers):
            others = {file for file, finding in words.items() if finding.score >= 60}
            found = [*self._by_work_number(number, _SAID_NUMBER), *self._by_file_number(number, _SAID_NUMBER)]
            doubted = bool(others - {finding.file for finding in found})
            yield from (replace(f, score=min(f.score, _DOUBTED_NUMBER)) if doubted else f for f in found)
        for number in sorted(name.loose):
            yield from self._by_file_number(number, _LEADING_NUMBER)

    def _by_bare_number(self, name: Name) -> Iterator[Finding]:
        for number in sorted(name.digits):
            yield from self._by_work_number(number, _IS_NUMBER_OF_WORK)
            yield from self._by_file_number(number, _IS_NUMBER)
        for number in sorted(name.digits | name.counters | name.years):
            score = _IS_COUNTER if len(number) >= 4 else _IS_SHORT_COUNTER
            yield from (Finding(file, score, FILE_NAME) for file in self._counters.get(number, ()))
        for year in () if name.digits else sorted(name.years):
            yield from (Finding(file, _IS_YEAR, NUMBER) for file in self._years.get(year, ()))

    def _by_work_number(self, number: str, score: float) -> Iterator[Finding]:
        for place in self._work_numbers.get(number, ()):
            files, ceiling = self._links[place]
            yield from (Finding(file, min(score, ceiling), NUMBER) for file in files)

    def _by_file_number(self, number: str, score: float) -> Iterator[Finding]:
        return (Finding(file, score, NUMBER) for file in self._numbers.get(number, ()))

    # The works list

    def _link(self, stems: Sequence[Label]) -> list[_Link]:
        """Return the files of each work and how surely they are its: by its file, its title, its number."""
        shortlist = Shortlist([stem.name for stem in stems], self._weights)
        return [
            (self._exact.find(work.file), 100.0)
            if work.file
            else self._link_by_title(work, stems, shortlist) or self._link_by_number(work) or ((), 0.0)
            for work in self._works
        ]

    def _link_by_title(self, work: Work, stems: Sequence[Label], shortlist: Shortlist) -> _Link | None:
        number = frozenset({number_key(work.number)} if number_key(work.number).isdigit() else ())
        scores: dict[str, float] = defaultdict(float)
        for name in titles_of(work):
            asked = replace(name, numbers=name.numbers | number)
            for stem in (stems[place] for place in shortlist(asked)):
                scores[stem.files[0]] = max(scores[stem.files[0]], self._likeness(asked, stem))
        best = max(scores.values(), default=0.0)
        near = tuple(file for file, score in scores.items() if score > best - 5)
        return (near, best) if best >= _LINKED else None

    def _link_by_number(self, work: Work) -> _Link | None:
        found = self._numbers.get(number_key(work.number), ()) if work.number else ()
        files = tuple(file for file in found if agree(work, file, self._weights))
        return (files, _IS_NUMBER) if files else None

    def _titles(self) -> Iterator[Label]:
        for place, (work, (files, ceiling)) in enumerate(zip(self._works, self._links, strict=True)):
            for name in titles_of(work):
                yield Label(name, TITLE, files, ceiling, place)

    def _owned(self) -> dict[str, set[int]]:
        owners: dict[str, set[int]] = defaultdict(set)
        for place, (files, ceiling) in enumerate(self._links):
            for file in files if ceiling >= _LINKED else ():
                owners[file].add(place)
        return owners

    def _numbered_works(self) -> dict[str, list[int]]:
        found: dict[str, list[int]] = defaultdict(list)
        for place, work in enumerate(self._works):
            if work.number:
                found[number_key(work.number)].append(place)
        return found


def _keep(best: dict[str, Finding], label: Label, score: float) -> None:
    for file in label.files:
        _keep_finding(best, Finding(file, score, label.by))


def _keep_finding(best: dict[str, Finding], finding: Finding) -> None:
    held = best.get(finding.file)
    if held is None or finding.score > held.score:
        best[finding.file] = finding
