"""Word lists written as running text, which is how a person reads and mends them."""

from __future__ import annotations


def word_list(text: str) -> frozenset[str]:
    """Return the words of a text that spaces and line breaks divide."""
    return frozenset(text.split())
