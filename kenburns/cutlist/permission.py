"""A cell of the works list -> whether whoever owns the rights has agreed that the film shows the work.

A permission with conditions ("given, but not online") is none of the words: whether it covers the film, a person says.
Nor is "no" alone, which may mean refused or not yet: it records nothing.
"""

from __future__ import annotations

import re

from .folding import fold

GIVEN, ASKED, REFUSED = "given", "asked", "refused"

# What people write (common practice), folded.
_WORDS = {
    **dict.fromkeys(("given", "granted", "yes", "y", "ok", "okay", "cleared", "agreed", "approved", "signed"), GIVEN),
    **dict.fromkeys(("received", "confirmed", "x", "✓", "✔", "ja", "erteilt", "oui", "si", "true"), GIVEN),
    **dict.fromkeys(("asked", "requested", "pending", "waiting", "sent", "applied", "in progress", "awaited"), ASKED),
    **dict.fromkeys(("angefragt", "demande", "richiesto", "solicitado", "no answer", "no reply"), ASKED),
    **dict.fromkeys(("refused", "denied", "declined", "rejected", "not granted"), REFUSED),
    **dict.fromkeys(("abgelehnt", "verweigert", "refuse", "rifiutato", "denegado"), REFUSED),
    **dict.fromkeys(("", "no", "n", "not yet", "not given", "open", "none", "to do", "todo", "tbc"), ""),
    **dict.fromkeys(("nein", "non", "false"), ""),
}
_DATE = re.compile(r"[\s,;:(]+(?:on\s+)?\d{1,4}[-./ ](?:\d{1,2}|[^\W\d_]{3,9}\.?)[-./ ]\d{1,4}\)?$")


def read_permission(text: str) -> str:
    """Return GIVEN, ASKED, REFUSED or "" (not recorded) for what a person wrote, a date after it left aside.

    Raise ValueError, with the rule and what would work, for anything else.
    """
    words = fold(_DATE.sub("", " ".join(text.split()))).strip(" .!-–—")
    if words not in _WORDS:
        raise ValueError(
            "a permission is 'given', 'asked' or 'refused', or the cell is empty; a note has its own column"
        )
    return _WORDS[words]
