"""Bytes -> text, where the standard says ASCII or nothing and the world writes more.

UTF-8 is tried first, as the Metadata Working Group's guidelines 2.0 have it for Exif (from memory); bytes that are no
UTF-8 are Windows-1252, which holds Latin-1's letters (common practice).
"""

from __future__ import annotations


def decoded(data: bytes) -> str:
    """Return the text, trimmed, its line breaks and runs of spaces made one space each, unprintable signs left out."""
    return one_line(_text(data))


def one_line(text: str) -> str:
    """Return a text on one line, without what cannot be printed."""
    return " ".join("".join(c if c.isprintable() else " " * c.isspace() for c in text).split())


def _text(data: bytes) -> str:
    for encoding in ("utf-8-sig", "cp1252"):
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    return data.decode("latin-1")  # takes every byte
