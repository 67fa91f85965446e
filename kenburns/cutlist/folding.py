"""Letters as people type them -> letters that compare equal."""

from __future__ import annotations

import unicodedata

# Letters that Unicode does not decompose, with their usual spelling in plain letters.
_SPELLINGS = str.maketrans(
    {"ø": "o", "đ": "d", "ð": "d", "ł": "l", "ħ": "h", "ı": "i", "æ": "ae", "œ": "oe", "þ": "th"}
)


def fold(text: str) -> str:
    """Return the text without case, accents and typographic variants: "Nº Größe" -> "no grosse"."""
    decomposed = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    return "".join(c for c in decomposed if not unicodedata.combining(c)).translate(_SPELLINGS)
