"""A file name or a caption -> the words, numerals and numbers that tell which work it means.

"Kestrel_Kitchen-II_final_v2 (4000x3000) photo by Okoro.tif" has the words kestrel and kitchen (and the faint word
final), and the mark 2. Marks distinguish: two names whose marks differ mean different things, however alike they are.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache

from .folding import fold
from .vocabulary import COUNTERS, FAINT, MARKS, NUMBERING, ROMAN, SUFFIXES

_LONGEST = 400  # characters of a text that are looked at
_MOST_WORDS = 24

_DATE = r"(?:19|20)\d\d([-. ]?)(?:0[1-9]|1[0-2])\1(?:0[1-9]|[12]\d|3[01])"
_NOISE = tuple(
    re.compile(pattern)
    for pattern in (
        rf"(?<!\d){_DATE}(?:[-. t]{{0,2}}\d{{6,9}})?(?!\d)",  # the day a file was made
        r"(?<!\d)\d{2}[.:-]\d{2}[.:-]\d{2}(?!\d)",  # the time it was made
        r"(?<!\d)\d+(?:[.,]\d+)? ?[x×] ?\d+(?:[.,]\d+)?(?: ?[x×] ?\d+(?:[.,]\d+)?)? ?(?:px|cm|mm|in|m)?(?![a-z])",
        r"(?<!\d)\d+ ?(?:dpi|ppi|px|mp|bit|cm|mm|kb|mb|k)(?![a-z])",
        r"(?<![a-z])(?:v|ver|vers|version|rev|r)[.]?\d{1,3}(?:[.]\d+)?(?!\d)",
        r"(?<![a-z])(?:version|rev|ver) \d{1,3}(?!\d)",
        r"(?<![a-z])(?:final|copy|kopie) ?\(?\d{1,2}\)?(?!\d)",
    )
)
_TAIL = re.compile(
    r"(?<=[^\W_])[ ,(\[-]+(?:(?:photo(?:graph(?:ed)?)?|foto|ph|image) by|©|\(c\)|courtesy(?: of)?)[ :.].*"
)
_NUMBERED = re.compile(
    rf"(?<![a-z])(?:(?:{'|'.join(sorted(NUMBERING, key=len, reverse=True))})[. ]{{0,2}})+0*(\d{{1,5}})(?!\d)"
)
_TOKEN = re.compile(r"[^\W\d_]+|[0-9]+")
_QUOTED = re.compile(r"[\"“”„«]([^\"“”„«»]{2,})[\"“”»]")
_BREAK = re.compile(r"[,;:()\[\]\"“”„«»|/\r\n]| [-–—]+ |—|(?<=\w{4})\. ")


def plain(text: str) -> str:
    """Fold a text so that the three usual spellings of a German umlaut (ü, ue, u) are one."""
    return re.sub(r"([aou])e", r"\1", fold(text))


_MARKS = {plain(word): mark for word, mark in MARKS.items()}
_FAINT = frozenset(plain(word) for word in FAINT)
_COUNTERS = frozenset(plain(word) for word in COUNTERS)


@dataclass(frozen=True, slots=True)
class Name:
    """What a name holds.

    words in order, folded; telling those of them that are not faint; marks (numerals as digits, "detail", "left" ...);
    numbers said to be such ("no. 12"); loose numbers, which may be a work's ("12_..."); counters of a camera; years;
    digits, all whole numbers in digits that may be a work's.
    """

    words: tuple[str, ...] = ()
    telling: tuple[str, ...] = ()
    marks: frozenset[str] = frozenset()
    numbers: frozenset[str] = frozenset()
    loose: frozenset[str] = frozenset()
    counters: frozenset[str] = frozenset()
    years: frozenset[str] = frozenset()
    digits: frozenset[str] = frozenset()


@lru_cache(maxsize=65536)
def name_of_file(file: str) -> Name:
    """Return what the name of a file holds, its folder and suffix left out."""
    return _name(without_suffix(base_name(file)))


@lru_cache(maxsize=65536)
def name_of_text(text: str) -> Name:
    """Return what a title or a caption holds."""
    return _name(text)


def base_name(file: str) -> str:
    """Return a file's name without folders, for both kinds of slash."""
    return file.replace("\\", "/").rstrip("/").rpartition("/")[2]


def without_suffix(name: str) -> str:
    """Return a name without the suffixes of picture files: "sea.tif.jpg" -> "sea", "no. 7" as it is."""
    while True:
        stem, _, suffix = name.rpartition(".")
        if not stem or suffix.strip().lower() not in SUFFIXES:
            return name
        name = stem


def phrases(text: str) -> tuple[str, ...]:
    """Return the parts of a caption that may be a title of their own, the likeliest first; () where it has one part.

    What stands in quotation marks comes first, then the parts between commas, dashes, brackets and the like.
    """
    parts = [part.strip() for part in (*_QUOTED.findall(text[:_LONGEST]), *_BREAK.split(text[:_LONGEST]))]
    told = [part for part in dict.fromkeys(parts) if name_of_text(part).telling]
    return tuple(told[:5]) if told and told != [text.strip()] else ()


def is_faint(word: str) -> bool:
    """Whether the word stands beside names rather than in them."""
    return word in _FAINT


@dataclass(slots=True)
class _Sorted:
    words: list[str] = field(default_factory=list)
    marks: set[str] = field(default_factory=set)
    arabic: set[str] = field(default_factory=set)
    loose: set[str] = field(default_factory=set)
    counters: set[str] = field(default_factory=set)
    years: set[str] = field(default_factory=set)


def _name(text: str) -> Name:
    cleaned = _without_noise(text[:_LONGEST])
    numbers = frozenset(_NUMBERED.findall(cleaned))
    found = _sort(_TOKEN.findall(_NUMBERED.sub(" ", cleaned)))
    words = tuple(found.words[:_MOST_WORDS])
    return Name(
        words=words,
        telling=tuple(word for word in words if word not in _FAINT),
        marks=frozenset(found.marks),
        numbers=numbers,
        loose=frozenset(found.loose) - numbers,
        counters=frozenset(found.counters),
        years=frozenset(found.years),
        digits=numbers | found.loose | found.arabic,
    )


def _without_noise(text: str) -> str:
    split = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", text)
    folded = plain(re.sub(r"#|n[°º](?=\W*\d)", " no ", split, flags=re.IGNORECASE))
    folded = re.sub(r"['’‘`´]", "", folded.replace("_", " ").replace("+", " "))
    folded = _TAIL.sub(" ", folded)
    for noise in _NOISE:
        folded = noise.sub(" ", folded)
    return folded


def _sort(tokens: list[str]) -> _Sorted:
    found = _Sorted()
    for place, token in enumerate(tokens):
        before = tokens[place - 1] if place else ""
        after = tokens[place + 1] if place + 1 < len(tokens) else ""
        if token.isdigit():
            _sort_number(found, token, before, first=not place)
        elif _is_counted(token, after):
            continue
        elif token in _MARKS:
            found.marks.add(_MARKS[token])
        elif token in ROMAN and (len(token) > 1 or (before and not _goes_on(after))):
            found.marks.add(str(ROMAN[token]))
        elif len(token) == 1 and token.isascii() and before and not after:
            found.marks.add(token)  # "Harbour b"
        else:
            found.words.append(token)
    return found


def _sort_number(found: _Sorted, token: str, before: str, first: bool) -> None:
    number = token.lstrip("0") or "0"
    if _is_counted(before, token) or len(token) >= 6:
        found.counters.add(number)
    elif len(token) == 4 and 1400 <= int(token) <= 2099:
        found.years.add(token)
    elif first or (len(token) >= 3 and token[0] == "0"):
        found.loose.add(number)
    else:
        found.marks.add(number)
        found.arabic.add(number)


def _is_counted(word: str, number: str) -> bool:
    """Whether a camera's or scanner's word and counter stand here; people write three digits at least for none else."""
    return word in _COUNTERS and number.isdigit() and len(number) >= 3


def _goes_on(token: str) -> bool:
    """Whether a title goes on with this token."""
    return bool(token) and not token.isdigit() and token not in _MARKS and token not in _FAINT
