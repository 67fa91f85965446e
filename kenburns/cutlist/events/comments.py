"""The lines between the events of an edit decision list: headers, clip names, markers, comments.

The statements are those of common practice; a star before them is usual and often missing, as is the space behind it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

TITLE, DROP, NON_DROP, NAME, SOURCE, MARKER, NOTE, TECHNICAL = (
    *("title", "drop", "non-drop", "name", "source", "marker", "note", "technical"),
)
FROM, TO, KEY = "FROM", "TO", "KEY"

_NAME = re.compile(r"(FROM|TO|KEY) +CLIP +NAME *(?:IS\b|:)?(.*)", re.IGNORECASE | re.DOTALL)
_SOURCE = re.compile(
    r"(?:(FROM|TO|KEY) +)?(?:SOURCE +FILE|CLIP|FILE)(?: +(?:NAME|PATH))? *:(.*)", re.IGNORECASE | re.DOTALL
)
_MARKER = re.compile(r"(?:LOC|MARKER)\b *:?(.*)", re.IGNORECASE | re.DOTALL)
_BARRED = re.compile(r"\|M:([^|]*)")
_FRAME_CODE = re.compile(r"FCM *: *(NON)?[- ]*DROP", re.IGNORECASE)
_COMMENT = re.compile(r"COMMENTS? *:(.*)", re.IGNORECASE | re.DOTALL)
_PLACE = re.compile(r"(?:\d{1,2}[:;.,]\d{2}[:;.,]\d{2}[:;.,]\d{2})?\s*(.*)", re.ASCII | re.DOTALL)
# Lines that change neither what is seen nor when: speed, split edits, sound channels, effects, grading, switches.
_TECHNICAL = re.compile(
    r"(?:M\d|SPLIT|AUD|GPI|EFFECTS? +NAME|FREEZE +FRAME|BLEND|ASC_SOP|ASC_SAT|AUDIO +LEVEL|"
    r"(?:[A-Z]{1,12} ){0,4}REEL)\b",
    re.IGNORECASE,
)
_COLOURS = frozenset(
    (
        *("red", "green", "blue", "cyan", "magenta", "yellow", "black", "white", "pink", "orange", "purple", "violet"),
        *("brown", "grey", "gray", "fuchsia", "rose", "lavender", "sky", "mint", "lemon", "sand", "cream", "teal"),
    )
)


@dataclass(frozen=True, slots=True)
class Statement:
    """What one line states: its kind, its text, and of names and sources which side of a transition they belong to."""

    kind: str
    text: str = ""
    side: str = ""


@dataclass(frozen=True, slots=True)
class Said:
    """What the lines below an event say of it.

    names and sources by side (FROM, TO, KEY); markers without names are not among the markers.
    """

    names: dict[str, str]
    sources: dict[str, str]
    markers: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def read_statement(text: str) -> Statement | None:
    """Return what a line that is no event states; None where it is no statement and no comment either."""
    line = text.strip()
    body = line.lstrip("*> \t")
    return _header(body) or _name(body) or _source(body) or _marker(body) or _comment(body, starred=body != line)


def said(statements: Sequence[Statement]) -> Said:
    """Return what the statements below one event say, in their order."""
    names: dict[str, str] = {}
    sources: dict[str, str] = {}
    markers: list[str] = []
    notes: list[str] = []
    side = FROM
    for statement in statements:
        side = statement.side or side  # a source file without a side belongs to the name above it
        if statement.kind == NAME and statement.text:
            _keep(names, statement.side, statement.text, notes)
        elif statement.kind == SOURCE and statement.text:
            _keep(sources, side, statement.text, notes)
        elif statement.kind in (MARKER, NOTE) and statement.text:
            (markers if statement.kind == MARKER else notes).append(statement.text)
    return Said(names, sources, tuple(markers), tuple(notes))


def _keep(held: dict[str, str], side: str, text: str, notes: list[str]) -> None:
    """Keep the first text of a side; further ones are notes, so that nothing is lost."""
    if held.setdefault(side, text) != text:
        notes.append(text)


def _header(body: str) -> Statement | None:
    if body[:6].upper() == "TITLE:":
        return Statement(TITLE, body[6:].strip())
    found = _FRAME_CODE.match(body)
    return Statement(NON_DROP if found.group(1) else DROP) if found else None


def _name(body: str) -> Statement | None:
    found = _NAME.match(body)
    return Statement(NAME, found.group(2).strip(), found.group(1).upper()) if found else None


def _source(body: str) -> Statement | None:
    found = _SOURCE.match(body)
    return Statement(SOURCE, found.group(2).strip(), (found.group(1) or "").upper()) if found else None


def _marker(body: str) -> Statement | None:
    """Read a marker: after its name, a timecode, a colour and a text, or fields between bars of which M is the text."""
    barred = _BARRED.search(body) if body.startswith("|") else None
    if barred:
        return Statement(MARKER, barred.group(1).strip())
    found = _MARKER.match(body)
    return Statement(MARKER, _marker_text(found.group(1).strip())) if found else None


def _marker_text(text: str) -> str:
    found = _PLACE.match(text)
    words = found.group(1).strip() if found else text
    if not words:
        return ""
    first, *others = words.split(None, 1)
    return "".join(others) if first.lower() in _COLOURS else words


def _comment(body: str, *, starred: bool) -> Statement | None:
    if _TECHNICAL.match(body):
        return Statement(TECHNICAL, body)
    found = _COMMENT.match(body)
    if found:
        return Statement(NOTE, found.group(1).strip())
    return Statement(NOTE, body) if starred else None
