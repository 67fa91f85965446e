"""How long a text takes to read."""

from __future__ import annotations

from .runs import script_of

EASY, BRISK = 160.0, 180.0
"""Words a minute that viewers read on a screen (common practice: 160 to 180)."""

_CHARACTERS_A_WORD = 2.0
"""Han characters and kana that take as long as a word (common practice, from memory: 4 to 6 a second)."""

_WITHOUT_SPACES = frozenset(("Hani", "Hira", "Kana", "Bopo"))


def words(text: str) -> float:
    """Return how many words a text has; Han characters and kana, written without spaces, count by the pair."""
    dense = sum(script_of(character) in _WITHOUT_SPACES for character in text)
    spaced = "".join(" " if script_of(character) in _WITHOUT_SPACES else character for character in text)
    return dense / _CHARACTERS_A_WORD + sum(any(map(str.isalnum, word)) for word in spaced.split())


def reading_seconds(text: str, words_a_minute: float = EASY) -> float:
    """Return the seconds it takes to read a text at a speed above 0 words a minute."""
    if not words_a_minute > 0:
        raise ValueError(f"reading speed is above 0 words a minute, such as {EASY:.0f}, not {words_a_minute}")
    return 60 * words(text) / words_a_minute


def too_short(text: str, seconds: float) -> str | None:
    """Return what to say of a card whose text cannot be read in the time it stands, None where it can."""
    needed = reading_seconds(text, BRISK)
    if seconds >= needed:
        return None
    return (
        f"stands {seconds:.1f} s, too short for its {words(text):.0f} words: they need {needed:.1f} s at {BRISK:.0f} "
        f"words a minute, {reading_seconds(text):.1f} s at {EASY:.0f}"
    )
