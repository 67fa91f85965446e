"""Which of several texts for one property is taken.

Metadata Working Group, Guidelines for Handling Image Metadata 2.0 (2010), chapter 5, to which the IPTC Photo Metadata
Standard refers for reading (both from memory): Exif first; then XMP, unless the digest kept beside the IPTC-IIM shows
that something which knew no XMP has changed the IPTC-IIM since, in which case that is the newer and goes first. An
IPTC-IIM text cut off at the standard's length is completed from an XMP text that begins with it. PNG's keywords stand
in none of these and go last.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace

EXIF, XMP, IIM, PNG = "Exif", "XMP", "IPTC-IIM", "PNG"

_RULES = {
    (EXIF, XMP): "Exif goes before XMP",
    (EXIF, IIM): "Exif goes before IPTC-IIM",
    (XMP, IIM): "XMP goes before IPTC-IIM that has not been changed since",
    (XMP, XMP): "the property named first is the more exact",
    (IIM, XMP): "the IPTC-IIM was changed after the XMP, as its digest shows",
}


@dataclass(frozen=True, slots=True)
class Said:
    """What one place in a file says: `standard` is EXIF, XMP, IIM or PNG; `where` names the place in words.

    `cut` says that a text may be cut off at the standard's greatest length.
    """

    texts: tuple[str, ...]
    standard: str
    where: str
    cut: bool = False


# What cameras and faulty writers put where nothing is known (seen in photographs of various makers).
_NOTHING = frozenset({"x-default", "[none]", "none", "unknown", "n/a"})


def telling(texts: Sequence[str]) -> tuple[str, ...]:
    """Return the texts that say anything."""
    return tuple(text for text in texts if text.casefold() not in _NOTHING and any(map(str.isalnum, text)))


def in_order(said: Sequence[Said], *, iim_is_newer: bool) -> tuple[Said, ...]:
    """Return what is said at all, the one to take first; of two of one standard, the one given first."""
    order = (EXIF, IIM, XMP, PNG) if iim_is_newer else (EXIF, XMP, IIM, PNG)
    held = (replace(place, texts=telling(place.texts)) for place in said)
    ranked = sorted((place for place in held if place.texts), key=lambda place: order.index(place.standard))
    if ranked and ranked[0].cut:
        whole = next((place for place in ranked if not place.cut and agree(ranked[0], place)), ranked[0])
        ranked = [whole, *(place for place in ranked if place is not whole)]
    return tuple(ranked)


def agree(one: Said, other: Said) -> bool:
    """Whether both say the same, but for spaces, separators, and what a greatest length has cut off."""
    if plain(one.texts) == plain(other.texts):
        return True
    cut, whole = (one, other) if one.cut else (other, one)
    pairs = zip(cut.texts, whole.texts, strict=False)
    return cut.cut and len(cut.texts) == len(whole.texts) and all(plain([b]).startswith(plain([a])) for a, b in pairs)


def plain(texts: Sequence[str]) -> str:
    """Return texts as they are compared: case, spaces, separators and the ways to write © do not count."""
    text = unicodedata.normalize("NFKC", " ".join(texts)).casefold().replace("(c)", "©")
    return " ".join(re.sub(r'[\s;,"]+', " ", text).split())


def rule(taken: Said, other: Said) -> str:
    """Return in words why one goes before the other."""
    return _RULES.get((taken.standard, other.standard), f"{taken.standard} goes before {other.standard}")
