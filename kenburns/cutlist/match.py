"""Which photograph belongs in a slot: by file name, by a title or by a number of the works list.

A match is taken silently only when it is sure: a score of 90 or more, and 5 or more ahead of every other file. All
else is offered, never decided.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from .search import Finding, Search
from .slots import Slot
from .works import Work

SURE = 90.0  # from here on a match may be taken
LIKELY = 60.0  # from here on it is offered
AHEAD = 5.0  # how far in front of the next file a sure match is
_OFFERED = 5  # files
_WORTH_NAMING = 40.0

_LISTS = 4  # of files and works, kept taken apart


@dataclass(frozen=True, slots=True)
class Match:
    """The photograph for a slot.

    file is as in the list of files, None where no file scores 60 or more; score runs from 0 to 100; by is "file
    name", "title", "number" or "" (nothing found); certain says that it may be taken without asking; candidates are
    the best few files with their scores, the best first.
    """

    file: str | None
    score: float
    by: str
    certain: bool
    candidates: tuple[tuple[str, float], ...]


def match_still(wanted: str, still: str, files: Sequence[str], works: Sequence[Work] = ()) -> Match:
    """Match one slot: `wanted` says what should be seen, `still` (may be empty) names a file, title or number."""
    return _match(Search(files, works), wanted, still)


def match_all(slots: Sequence[Slot], files: Sequence[str], works: Sequence[Work] = ()) -> tuple[Match, ...]:
    """Match every slot, as match_still does, but the names of files and works are taken apart only once."""
    search = _search(tuple(files), tuple(works))
    known: dict[tuple[str, str], Match] = {}
    for slot in slots:
        asked = slot.wanted, slot.still
        if asked not in known:
            known[asked] = _match(search, *asked)
    return tuple(known[slot.wanted, slot.still] for slot in slots)


@lru_cache(_LISTS)
def _search(files: tuple[str, ...], works: tuple[Work, ...]) -> Search:
    # Kept, as a film is matched again at every change on the desk, mostly among the same files and works.
    return Search(files, works)


def _match(search: Search, wanted: str, still: str) -> Match:
    named = search.exact(still)
    if named:
        return _judge(named)
    if not still.strip():
        return _judge(search.find(wanted))
    by_still = _judge(search.find(still))
    # A still that is named but not there is never replaced silently by what the caption suggests.
    return by_still if by_still.file else _judge(search.find(wanted), may_be_sure=False)


def _judge(found: Sequence[Finding], *, may_be_sure: bool = True) -> Match:
    ranked = sorted(found, key=lambda finding: (-finding.score, finding.file))
    candidates = tuple((f.file, f.score) for f in ranked[:_OFFERED] if f.score >= _WORTH_NAMING)
    if not ranked or ranked[0].score < LIKELY:
        return Match(None, ranked[0].score if ranked else 0.0, "", certain=False, candidates=candidates)
    best = ranked[0]
    ahead = len(ranked) == 1 or best.score - ranked[1].score >= AHEAD
    return Match(best.file, best.score, best.by, may_be_sure and best.score >= SURE and ahead, candidates)
