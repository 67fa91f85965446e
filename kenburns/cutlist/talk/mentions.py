"""Where works are spoken of: mentions that may be used, and such as a person has to look at.

A name counts when nothing else can well be meant: it holds a word that is no everyday one, or it stands in quotation
marks, with capitals where only names have them, beside its year, or is introduced as a work's. All else is listed and
not used. Of names one inside another the longest counts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence, Set
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import islice

from ..slots import shown
from ..works import Work
from . import evidence
from .common_words import is_common
from .hits import EXACT, FAR, INFLECTED, LOOSE, SLIP, Hit, Listener
from .said_words import tokens
from .sentences import Talk, talk_of
from .spoken import Transcript
from .spoken_names import SpokenName, spoken_names

_MOST_HITS = 50_000  # looked at; an hour of talk about a hundred works has a few hundred
_SHORT = 6  # letters of a name, below which a slip makes it another word
_LONG = 12  # letters of a name that is known also where a part of it was taken for another word
_ENOUGH_WORDS = 4  # everyday words in a row that are a title by their number alone


@dataclass(frozen=True, slots=True)
class Mention:
    """A work spoken of.

    name is as in the works list, said as in the transcript; at and until are exact seconds of the transcript's clock at
    which the name begins and ends; line is the cue's line in the file; sentence is what is said around it, cut where
    long; asked says that it is in a question; why tells what speaks for it or against it; place is the sentence's in
    the talk, from 0.
    """

    work: Work
    name: str
    said: str
    at: Fraction
    until: Fraction
    line: int
    sentence: str
    asked: bool
    why: str
    place: int = 0


@dataclass(frozen=True, slots=True)
class Mentions:
    """Mentions in order of time: such as may be used, and such as are only listed."""

    sure: tuple[Mention, ...]
    unsure: tuple[Mention, ...]


@dataclass(frozen=True, slots=True)
class _Judged:
    hit: Hit
    sure: bool
    why: str
    year: bool


def mentions(transcript: Transcript, works: Sequence[Work]) -> Mentions:
    """Find where works of a list are spoken of by title or another name; a work without either is not found."""
    return mentions_in(talk_of(transcript), works)


def mentions_in(talk: Talk, works: Sequence[Work]) -> Mentions:
    """Find the mentions in a talk that is taken apart already."""
    hits = islice(Listener(talk).hits(spoken_names(works)), _MOST_HITS)
    people = _people(talk, works)
    judged = [_judge(talk, hit, works[hit.name.work], people) for hit in hits if not evidence.counts_on(talk, hit.last)]
    kept = sorted(_told_apart(_longest(_likely(talk, judged))), key=lambda one: (one.hit.first, one.hit.name.work))
    found = [(one.sure, _mention(talk, one, works)) for one in kept]
    return Mentions(
        tuple(mention for sure, mention in found if sure), tuple(mention for sure, mention in found if not sure)
    )


def _people(talk: Talk, works: Sequence[Work]) -> frozenset[str]:
    """Return the folded words of the names of those who speak and of the photographers."""
    names = {line.speaker for line in talk.lines} | {work.photographer for work in works}
    return frozenset(word.folded for name in names for word in tokens(name))


def _judge(talk: Talk, hit: Hit, work: Work, people: Set[str]) -> _Judged:
    numbers = evidence.years_near(talk, hit.first, hit.last)
    year = evidence.has_year(work, numbers)
    against = next(_against(talk, hit), "")
    for_it = next(filter(None, _for_it(talk, hit, work, year, people)), "")
    if against:
        return _Judged(hit, False, against, year)
    if for_it:
        return _Judged(hit, True, for_it, year)
    return _Judged(hit, False, _doubt(hit), year)


def _against(talk: Talk, hit: Hit) -> Iterator[str]:
    """Yield what forbids that the mention is used."""
    name, first, last = shown(hit.name.name), hit.first, hit.last
    if hit.way == LOOSE:
        yield f"the words of {name} in another order"
    if hit.way == FAR:
        yield f"rather like {name}, but {hit.slips} letters differ"
    if evidence.names_another(talk, first):
        yield "something else than a work is called so"
    if evidence.follows_number(talk, last):
        yield "a number follows that the title does not have"
    if evidence.is_quoted(talk, first, last):
        return
    if hit.way == SLIP and _has_another_word(talk, hit):
        yield f"like {name}, but with another everyday word"
    if hit.name.part:
        yield f"only the beginning of the title {name}"
    if evidence.goes_on(talk, last):
        yield "the name goes on with a capital and may be another's"
    if evidence.is_broken(talk, first, last, hit.name.name):
        yield "a comma stands where the title has none"


def _for_it(talk: Talk, hit: Hit, work: Work, year: bool, people: Set[str]) -> Iterator[str]:
    """Yield what makes the mention one that may be used."""
    capital = evidence.is_capital(talk, hit.first, hit.last)
    everyday = evidence.words_common(hit.name.weighty)
    if evidence.is_quoted(talk, hit.first, hit.last):
        yield "in quotation marks"
    if len(hit.name.joined) < 2:
        return
    if evidence.is_dated(talk, hit.last, work) if everyday else year:
        yield "said with its year"
    if evidence.is_introduced(talk, hit.first, marked=capital):
        yield "introduced as a work"
    if hit.way == EXACT and evidence.is_explained(talk, hit.last):
        yield "introduced as a work"
    if hit.name.weighty and set(hit.name.weighty) <= people:  # who is there may be spoken of without the work
        return
    if capital and not (hit.way == SLIP and len(hit.name.joined) < _SHORT):
        yield "written as a name"
    yield _by_words(talk, hit)


def _by_words(talk: Talk, hit: Hit) -> str:
    """Return whether the words of the name are enough by themselves."""
    weighty = hit.name.weighty
    if hit.way == EXACT and _is_own_name(talk, hit):
        return "called so in the works list"
    if len(weighty) >= _ENOUGH_WORDS and hit.way <= INFLECTED:
        return "word for word"
    if not talk.english or evidence.words_common(weighty):
        return ""
    if len(weighty) > 1:
        return "by its title" if not hit.name.other else "by another name of it"
    opens = hit.way == EXACT and evidence.opens_as_name(talk, hit.first)
    return "opens a sentence as a name" if opens else ""


def _is_own_name(talk: Talk, hit: Hit) -> bool:
    """Whether somebody listed just this phrase, article and all, and it is spoken so: "the tall one".

    Of an article and one everyday word ("the lemons") that is enough only where the making of a work is spoken of.
    """
    start = evidence.with_article(talk, hit.first)
    spoken = talk.words[start].token.folded if start < hit.first else ""
    if not (hit.name.other and hit.name.article and hit.name.name.casefold().startswith(f"{spoken or '-'} ")):
        return False
    return len(hit.name.weighty) > 1 or evidence.is_made(talk, hit.first)


def _doubt(hit: Hit) -> str:
    if hit.way == SLIP:
        return f"like {shown(hit.name.name)}, and nothing marks it as a name"
    many = len(hit.name.weighty) > 1
    if not evidence.words_common(hit.name.weighty):
        return f"nothing marks {'these words' if many else 'this word'} as the title"
    return f"everyday word{'s' * many}, and nothing marks {'them' if many else 'it'} as a title"


def _has_another_word(talk: Talk, hit: Hit) -> bool:
    """Whether a word that differs from the name's is itself one of everyday talk: "Blue Kitten"."""
    if len(hit.name.joined) >= _LONG and evidence.is_capital(talk, hit.first, hit.last):
        return False
    own = set(hit.name.folded)
    said = [word.token.folded for word in talk.words[hit.first : hit.last + 1]]
    return any(word not in own and is_common(word) for word in said if len(word) > 2 and not word.isdigit())


def _likely(talk: Talk, judged: Iterable[_Judged]) -> Iterator[_Judged]:
    """Leave out what would only fill the list: slips in short everyday words, and in words that open no name."""
    for one in judged:
        short = len(one.hit.name.joined) < 9 and one.hit.way in {SLIP, FAR}
        if short and not one.sure and not evidence.is_capital(talk, one.hit.first, one.hit.last):
            continue
        if one.hit.way in {SLIP, FAR} and len(one.hit.name.weighty) == 1 and _has_another_word(talk, one.hit):
            continue
        yield one


def _longest(judged: Iterable[_Judged]) -> Iterator[_Judged]:
    """Yield the mentions that overlap no longer one; several works may share the very same words."""
    taken: dict[int, tuple[int, int]] = {}
    for one in sorted(judged, key=_rank):
        span = one.hit.first, one.hit.last
        words = range(span[0], span[1] + 1)
        if all(taken.get(word, span) == span for word in words):
            taken.update(dict.fromkeys(words, span))
            yield one


def _rank(one: _Judged) -> tuple[bool, int, int, int]:
    hit = one.hit
    whole = hit.way <= SLIP and not hit.name.part and len(hit.name.weighty) > 1
    return not (one.sure or whole), -len(hit.name.joined), hit.way, hit.first


def _told_apart(judged: Iterable[_Judged]) -> Iterator[_Judged]:
    """Yield one mention a work; where several works share the words, only a year tells which is meant."""
    by_span: dict[tuple[int, int], dict[int, _Judged]] = defaultdict(dict)
    for one in judged:
        by_span[one.hit.first, one.hit.last].setdefault(one.hit.name.work, one)
    for held in by_span.values():
        yield from _one_meant(list(held.values()))


def _one_meant(works: Sequence[_Judged]) -> Sequence[_Judged]:
    if len(works) == 1:
        return works
    best = min(one.hit.way for one in works)
    near = [one for one in works if one.hit.way == best]
    whole = [one for one in near if not one.hit.name.part] or near
    dated = [one for one in whole if one.year] or whole
    if len(dated) == 1:
        return dated
    return [replace(one, sure=False, why=f"{len(dated)} works are called so") for one in dated]


def _mention(talk: Talk, one: _Judged, works: Sequence[Work]) -> Mention:
    name: SpokenName = one.hit.name
    first = evidence.with_article(talk, one.hit.first) if name.article else one.hit.first
    word = talk.words[first]
    return Mention(
        work=works[name.work],
        name=name.name,
        said=talk.text(first, one.hit.last),
        at=talk.start(first),
        until=talk.end(one.hit.last),
        line=talk.lines[word.line].line,
        sentence=talk.sentence_around(first, one.hit.last),
        asked=talk.sentences[word.sentence].asked,
        why=one.why,
        place=word.sentence,
    )
