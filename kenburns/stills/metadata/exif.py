"""Exif's Artist and Copyright.

Tags 315 and 33432: Exif 2.32 §4.6.4, and 3.0, where they may be UTF-8. Several artists are separated by semicolons;
a copyright may be two, the photographer's and the editor's, with a NUL between them. A name that holds a semicolon
stands in quotation marks (Metadata Working Group guidelines 2.0, from memory).
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from .encoding import decoded

_ARTIST, _COPYRIGHT = 315, 33432
EXIF_TAGS = frozenset({_ARTIST, _COPYRIGHT})


def artists(tags: Mapping[int, bytes]) -> tuple[str, ...]:
    """Return the names in Artist, () where there is none."""
    return split_names(decoded(tags.get(_ARTIST, b"").partition(b"\0")[0]))


def copyrights(tags: Mapping[int, bytes]) -> tuple[str, ...]:
    """Return the notices in Copyright, the photographer's first; () where there is none."""
    parts = (decoded(part) for part in tags.get(_COPYRIGHT, b"").split(b"\0")[:2])
    return tuple(part for part in parts if part)


def split_names(text: str) -> tuple[str, ...]:
    """Split names at semicolons outside quotation marks: ``A; "B; C"`` is A and B; C."""
    pieces = (piece.strip() for piece in re.findall(r'(?:"[^"]*"|[^;"]|")+', text))
    return tuple(_unquoted(piece) for piece in pieces if piece.strip('" '))


def _unquoted(name: str) -> str:
    quoted = len(name) > 2 and name.startswith('"') and name.endswith('"') and '"' not in name[1:-1]
    return name[1:-1].strip() if quoted else name
