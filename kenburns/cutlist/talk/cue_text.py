r"""The text of one cue as it stands in a file -> who speaks it, and what is said without marks of format.

WebVTT: voice, class, ruby and timestamp tags and character references (W3C WebVTT, "WebVTT cue text parsing rules";
from memory). SubRip has no standard: HTML tags for bold, italic, underlined and font, override tags such as
``{\an8}``, and speakers named before a colon or marked by a dash are common practice. ``>>`` marks another speaker in
captions for broadcast (common practice).
"""

from __future__ import annotations

import html
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

# All patterns are bounded, so that a file full of opening brackets is read as fast as any other.
_TAG = re.compile(r"<(?=[/a-zA-Z0-9.])([^<>\n]{0,300})>")
_SUBRIP_TAG = re.compile(r"</?(?:b|i|u|s|em|strong|font|c|v|lang|ruby|rt|span|p|br)(?=[ ./>])[^<>\n]{0,300}>", re.I)
_VOICE = re.compile(r"<v(?:\.[^ \t<>\n]{0,80})?(?:[ \t]+([^<>\n]{0,200}))?>|</v>")
_RUBY_TEXT = re.compile(r"<rt(?:\.[^<>\n]{0,80})?>[^<>]{0,200}</rt>")
_OVERRIDE = re.compile(r"\{\\[^{}\n]{0,200}\}")
_DASH = re.compile(r"[ \t]*(?:[-–—‐][ \t]*(?=[^\W\d_]|[\"“„«¿¡'‘])|>>+[ \t]*)")
_PREFIX = re.compile(r"([^\W_][^:;,!?\"“”\n]{0,39}?)[ \t]?[:：](?=[ \t\n]|$)[ \t]*")


@dataclass(frozen=True, slots=True)
class Voice:
    """A part of a cue that one person speaks: text on one line, `turn` where the cue marks another speaker."""

    speaker: str
    text: str
    turn: bool = False


def webvtt_voices(payload: str) -> tuple[Voice, ...]:
    """Return the parts of a WebVTT cue's text, in order; a text without voice spans is one part without a speaker."""
    marked = _RUBY_TEXT.sub("", payload)
    parts: list[Voice] = []
    speaker, at = "", 0
    for found in _VOICE.finditer(marked):
        parts += _turns(speaker, _TAG.sub("", marked[at : found.start()]), opened=bool(speaker))
        speaker, at = one_line(html.unescape(found.group(1) or "")), found.end()
    parts += _turns(speaker, _TAG.sub("", marked[at:]), opened=bool(speaker))
    return tuple(parts)


def subrip_voices(payload: str) -> tuple[Voice, ...]:
    """Return the parts of a SubRip cue's text, in order."""
    plain = _OVERRIDE.sub("", payload)
    plain = re.sub(r"<br ?/?>|\\[Nn]", "\n", plain, flags=re.I)
    return tuple(_turns("", _SUBRIP_TAG.sub("", plain), opened=False))


def prefix_of(text: str) -> tuple[str, str]:
    """Return what may name a speaker before a colon, and the text after it; ("", text) where nothing may."""
    found = _PREFIX.match(text)
    if not found or len(found.group(1).split()) > 4:
        return "", text
    return found.group(1).strip(), text[found.end() :].strip()


def one_line(text: str) -> str:
    """Return the text in Unicode form C on one line, without characters nobody sees."""
    shown = "".join(" " if c.isspace() else c for c in text if c.isspace() or unicodedata.category(c) not in _UNSEEN)
    return unicodedata.normalize("NFC", " ".join(shown.split()))


_UNSEEN = frozenset({"Cc", "Cf", "Cs", "Cn", "Co"})  # Unicode general categories: controls, marks of direction, ...


def _turns(speaker: str, text: str, *, opened: bool) -> Iterator[Voice]:
    """Yield the parts that dashes at line beginnings or named speakers divide; each begins another turn."""
    held: list[str] = []
    turn = opened
    for line in html.unescape(text).splitlines():
        mark = _DASH.match(line)
        begins = bool(mark) or _is_loud(line)
        if begins:
            yield from _voice(speaker, held, turn)
            held, turn = [], True
        held.append(line[mark.end() :] if mark else line)
    yield from _voice(speaker, held, turn)


def _is_loud(line: str) -> bool:
    """Whether a line begins with a name in capitals and a colon."""
    name, _ = prefix_of(line.strip())
    return len(name) > 1 and name.isupper()


def _voice(speaker: str, lines: list[str], turn: bool) -> Iterator[Voice]:
    text = one_line(" ".join(lines))
    if text:
        yield Voice(speaker, text, turn)
