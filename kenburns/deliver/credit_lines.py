"""A still's credits -> names under the headings of a credit screen.

A credit line is taken apart only where it says what follows: "Photo: A. Name", "Courtesy of B" (common practice, in the
languages of the words below). What is left of it, and a line that holds ©, stands as it was given.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from ..stills.credits import PhotographCredits, Value
from ..stills.metadata.exif import split_names
from ..stills.metadata.order import plain

WORKS_BY, PHOTOGRAPHS, COURTESY, LINES, COPYRIGHT = (
    *("Works by", "Photographs", "Courtesy of"),
    *("Picture credits", "Copyright"),
)
HEADINGS = (WORKS_BY, PHOTOGRAPHS, COURTESY, LINES, COPYRIGHT)
"""In the order in which a screen shows them."""

Named = tuple[str, str]
"""Heading and name (or line)."""

_PHOTO = (
    r"(?:photograph(?:s|ed|y|ies?|er)?|photos?|fotos?|fotografie|fotografia|images?|pictures?|crédit photo)"
    r"(?: credit)?(?:\s*:|\s+by\b:?)"
)
_COURTESY = r"(?:(?:by |(?:images?|photos?|photographs?|pictures?) )?courtesy(?: of\b)?:?)"
_OPENER = re.compile(rf"(?:^|(?<=[.;,|/(])\s*|(?<=\s[-–—])\s+)(?:({_PHOTO})|({_COURTESY}))\s+", re.IGNORECASE)
_NOTICE = re.compile(r"©|\(c\)|copyright", re.IGNORECASE)
_NO_NAME = re.compile(
    r"©|\(c\)|\bcopyright\b|\ball rights reserved\b|\b(?:1[89]|20)\d\d\b(?:\s*[-–]\s*(?:1[89]|20)?\d\d\b)?",
    re.IGNORECASE,
)


def named(known: PhotographCredits) -> Iterator[Named]:
    """Yield everyone to be named for a still, by heading; whoever it came from only where nobody else is named."""
    for heading, value in ((WORKS_BY, known.work_creator), (PHOTOGRAPHS, known.creator)):
        yield from ((heading, name) for text in _texts(value) for name in split_names(text))
    for text in _texts(known.credit_line):
        yield from taken_apart(text)
    for value in (known.copyright if _names_one(known.copyright) else known.owner, known.work_copyright):
        yield from ((COPYRIGHT, text) for text in _texts(value) if bare_name(text))
    if not has_name(known, came_from=False):
        yield from ((COURTESY, text) for text in _texts(known.source or known.supplier or known.licensor))


def has_name(known: PhotographCredits, *, came_from: bool = True) -> bool:
    """Whether anyone is named as maker or owner of the photograph, or (`came_from`) as whom it came from.

    Who made the work in it does not count: that is another right.
    """
    makers = (known.creator, known.credit_line, known.owner, _names_one(known.copyright))
    givers = (known.source, known.supplier, known.licensor)
    return any(makers) or (came_from and any(givers))


def _names_one(notice: Value | None) -> bool:
    """Whether a copyright notice holds more than a year and "all rights reserved"."""
    return any(bare_name(text) for text in _texts(notice))


def taken_apart(line: str) -> Iterator[Named]:
    """Yield what a credit line says, by heading."""
    openers = [] if _NOTICE.search(line) else list(_OPENER.finditer(line))
    first = openers[0].start() if openers else len(line)
    rest = _trimmed(line[:first])
    if rest:
        yield (COPYRIGHT if _NOTICE.search(line) else LINES), rest
    ends = [*(opener.start() for opener in openers), len(line)][1:]
    for opener, end in zip(openers, ends, strict=True):
        heading = PHOTOGRAPHS if opener[1] else COURTESY
        yield from ((heading, _trimmed(name)) for name in split_names(line[opener.end() : end]) if _trimmed(name))


def name_key(name: str) -> str:
    """Return what two spellings of a name share: case, spaces and a full stop at the end do not count."""
    return plain([name]).rstrip(".")


def bare_name(notice: str) -> str:
    """Return the key of the name in a copyright notice: "© 2019 A. Name. All rights reserved" -> "a. name"."""
    return name_key(_NO_NAME.sub(" ", notice).strip(" .,;:-–"))


def _texts(value: Value | None) -> tuple[str, ...]:
    return value.texts if value else ()


def _trimmed(text: str) -> str:
    """Return a piece of a line without the signs that joined it to the next; a full stop after an initial stays."""
    piece = text.strip(" ;,|/–—-")
    piece = piece.removesuffix(")") if piece.count(")") > piece.count("(") else piece
    piece = piece.removesuffix("(").rstrip(" ;,|/–—-")
    return piece.removesuffix(".") if re.search(r"[^\W_]{4,}\.$", piece) else piece
