"""Finding the files that a text may mean, each with its best score and the reason for it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from rapidfuzz import fuzz, process

from .files import FileNames
from .labels import FILE_NAME, NUMBER, TITLE, Label, Weights, agree, files_by, number_key, titles_of
from .likeness import likeness
from .names import Name, name_of_file, name_of_text, phrases
from .works import Work

_SHORTLIST = 40  # names that are compared word by word
_CHUNK = 256  # texts that are compared roughly at once; bounds the memory

_LINKED = 90.0  # a work leads to a file without its list saying so, from this score on
_NAMED_FULLY = 97.0
_FIRST_PHRASE, _OTHER_PHRASE = 93.0, 85.0  # a whole title in a part of the text
_ANOTHERS = 75.0  # the file shows another work than the one that is named fully

_IS_NUMBER_OF_WORK, _IS_NUMBER = 97.0, 95.0
_SAID_NUMBER, _DOUBTED_NUMBER = 92.0, 80.0  # a number said to be one, beside words that say nothing or something else
_IS_COUNTER = 92.0
_IS_SHORT_COUNTER, _IS_YEAR, _LEADING_NUMBER = 70.0, 75.0, 65.0


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
        self._short: dict[str, list[int]] = {}
        self._stems = [Label(name_of_file(file), FILE_NAME, (file,)) for file in self._files]
        self._labels = self._stems
        self._links = self._link()
        self._labels = [*self._stems, *self._titles()]
        self._short.clear()
        self._owners = self._owned()
        self._work_numbers = self._numbered_works()

    def exact(self, name: str) -> tuple[Finding, ...]:
        """Return the files that have exactly this name."""
        return tuple(Finding(file, 100.0, FILE_NAME) for file in self._exact.find(name))

    def prepare(self, texts: Iterable[str]) -> None:
        """Draw up the shortlists of many texts at once, which is faster than one at a time."""
        parts = dict.fromkeys(part for text in texts for part in (text, *phrases(text)))
        self._draw_up([part for part in parts if part not in self._short])

    def find(self, text: str) -> tuple[Finding, ...]:
        """Return every file that the text may mean, with its best score, rounded to a tenth."""
        if not text.strip():
            return ()
        self.prepare([text])
        best: dict[str, Finding] = {}
        named: set[int] = set()
        for label, score in self._by_words(text):
            if score >= _FIRST_PHRASE and label.work >= 0:
                named.add(label.work)
            _keep(best, label, min(score, label.ceiling))
        self._hold_back(best, named)
        for finding in (*self._by_number(text, best), *self.exact(text)):
            _keep_finding(best, finding)
        return tuple(replace(finding, score=round(finding.score, 1)) for finding in best.values())

    def _by_words(self, text: str) -> Iterator[tuple[Label, float]]:
        whole = name_of_text(text)
        parts = [name_of_text(part) for part in phrases(text)]
        for place in sorted({place for part in (text, *phrases(text)) for place in self._short[part]}):
            label = self._labels[place]
            yield label, max(self._likeness(whole, label), self._as_part(whole, parts, label))

    def _as_part(self, whole: Name, parts: Sequence[Name], label: Label) -> float:
        """Return the score of a name that is a part of the text; what distinguishes stands anywhere in it."""
        best = 0.0
        for place, part in enumerate(parts):
            told = replace(whole, words=part.words)
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
        yield from self._by_work_number(number_key(text), _IS_NUMBER_OF_WORK)
        if not name.telling:
            yield from self._by_bare_number(name)
            return
        for number in name.numbers:
            others = {file for file, finding in words.items() if finding.score >= 60}
            found = [*self._by_work_number(number, _SAID_NUMBER), *self._by_file_number(number, _SAID_NUMBER)]
            doubted = bool(others - {finding.file for finding in found})
            yield from (replace(f, score=min(f.score, _DOUBTED_NUMBER)) if doubted else f for f in found)
        for number in name.loose:
            yield from self._by_file_number(number, _LEADING_NUMBER)

    def _by_bare_number(self, name: Name) -> Iterator[Finding]:
        for number in name.digits:
            yield from self._by_work_number(number, _IS_NUMBER_OF_WORK)
            yield from self._by_file_number(number, _IS_NUMBER)
        for number in name.digits | name.counters | name.years:
            score = _IS_COUNTER if len(number) >= 4 else _IS_SHORT_COUNTER
            yield from (Finding(file, score, FILE_NAME) for file in self._counters.get(number, ()))
        for year in () if name.digits else name.years:
            yield from (Finding(file, _IS_YEAR, NUMBER) for file in self._years.get(year, ()))

    def _by_work_number(self, number: str, score: float) -> Iterator[Finding]:
        for place in self._work_numbers.get(number, ()):
            files, ceiling = self._links[place]
            yield from (Finding(file, min(score, ceiling), NUMBER) for file in files)

    def _by_file_number(self, number: str, score: float) -> Iterator[Finding]:
        return (Finding(file, score, NUMBER) for file in self._numbers.get(number, ()))

    # The works list

    def _link(self) -> list[tuple[tuple[str, ...], float]]:
        """Return the files of each work and how surely they are its: by its file, its title, its number."""
        self._draw_up(list(dict.fromkeys(title for work in self._works for title in work.names)))
        return [self._link_work(work) for work in self._works]

    def _link_work(self, work: Work) -> tuple[tuple[str, ...], float]:
        if work.file:
            return self._exact.find(work.file), 100.0
        return self._link_by_title(work) or self._link_by_number(work) or ((), 0.0)

    def _link_by_title(self, work: Work) -> tuple[tuple[str, ...], float] | None:
        number = frozenset({number_key(work.number)} if number_key(work.number).isdigit() else ())
        scores: dict[str, float] = defaultdict(float)
        for title, name in zip(work.names, titles_of(work), strict=True):
            asked = replace(name, numbers=name.numbers | number)
            for place in self._short[title]:
                file = self._stems[place].files[0]
                scores[file] = max(scores[file], self._likeness(asked, self._stems[place]))
        best = max(scores.values(), default=0.0)
        near = tuple(file for file, score in scores.items() if score > best - 5)
        return (near, best) if best >= _LINKED else None

    def _link_by_number(self, work: Work) -> tuple[tuple[str, ...], float] | None:
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

    # Shortlists

    def _draw_up(self, texts: Sequence[str]) -> None:
        """Put the labels that are roughly like each text, by words or run together, on its shortlist."""
        labels = [" ".join(label.name.words) for label in self._labels]
        for start in range(0, len(texts), _CHUNK):
            chunk = texts[start : start + _CHUNK]
            if len(labels) <= _SHORTLIST:
                self._short.update((text, list(range(len(labels)))) for text in chunk)
                continue
            asked = [" ".join(name_of_text(text).words) for text in chunk]
            rough = process.cdist(asked, labels, scorer=fuzz.token_set_ratio, dtype=np.float32)
            rough += 0.5 * process.cdist(_joined(asked), _joined(labels), scorer=fuzz.ratio, dtype=np.float32)
            best = np.argpartition(-rough, _SHORTLIST, axis=1)[:, :_SHORTLIST]
            self._short.update((text, row.tolist()) for text, row in zip(chunk, best, strict=True))


def _joined(texts: Iterable[str]) -> list[str]:
    return [text.replace(" ", "") for text in texts]


def _keep(best: dict[str, Finding], label: Label, score: float) -> None:
    for file in label.files:
        _keep_finding(best, Finding(file, score, label.by))


def _keep_finding(best: dict[str, Finding], finding: Finding) -> None:
    held = best.get(finding.file)
    if held is None or finding.score > held.score:
        best[finding.file] = finding
