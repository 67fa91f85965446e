"""What the cards of a film say, each as passages from top to bottom: title, chapter, quote, caption, credits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Protocol

from .passages import Passage


class Kind(Protocol):
    """What any card of words has."""

    goes_on: ClassVar[bool]
    """Whether what does not stand on one card goes on on more; else all its text becomes smaller."""

    @property
    def passages(self) -> tuple[Passage, ...]:
        """Its texts, from top to bottom; some may be empty."""

    @property
    def called(self) -> str:
        """What messages call it."""


@dataclass(frozen=True, slots=True)
class Title:
    """An opening title, what stands below it, and whose film it is."""

    title: str
    subtitle: str = ""
    by: str = ""

    goes_on: ClassVar[bool] = False

    @property
    def passages(self) -> tuple[Passage, ...]:
        """Return title, subtitle, by."""
        return (
            Passage(self.title, "title"),
            Passage(self.subtitle, "body", space=0.6),
            Passage(self.by, "small", quiet=True, space=1.4),
        )

    @property
    def called(self) -> str:
        """Return the kind and the title."""
        return _called("title card", self.title)


@dataclass(frozen=True, slots=True)
class Chapter:
    """A chapter's title, and the number or word above it."""

    title: str
    number: str = ""

    goes_on: ClassVar[bool] = False

    @property
    def passages(self) -> tuple[Passage, ...]:
        """Return number, title."""
        return Passage(self.number, "small", quiet=True), Passage(self.title, "title", space=0.35)

    @property
    def called(self) -> str:
        """Return the kind and the title."""
        return _called("chapter card", self.title)


@dataclass(frozen=True, slots=True)
class Quote:
    """Words with the marks that quote them, who said them, and where."""

    words: str
    speaker: str = ""
    source: str = ""

    goes_on: ClassVar[bool] = True

    @property
    def passages(self) -> tuple[Passage, ...]:
        """Return words, speaker, source."""
        return (
            Passage(self.words, "body"),
            Passage(self.speaker, "small", space=1.4),
            Passage(self.source, "small", quiet=True, space=0.35),
        )

    @property
    def called(self) -> str:
        """Return the kind and the first words."""
        return _called("quote card", self.words)


@dataclass(frozen=True, slots=True)
class Caption:
    """What is said of a work, each ready to show: "40 × 60 cm", "Photograph: Ilse Marrow"."""

    title: str
    maker: str = ""
    year: str = ""
    medium: str = ""
    size: str = ""
    photographer: str = ""

    goes_on: ClassVar[bool] = True

    @property
    def passages(self) -> tuple[Passage, ...]:
        """Return maker; title, year; medium; size; photographer."""
        return (
            Passage(self.maker, "small", heading=True),
            Passage(", ".join(filter(None, (self.title, self.year))), "body", space=0.3),
            Passage(self.medium, "small", space=0.6),
            Passage(self.size, "small", space=0.3),
            Passage(self.photographer, "small", quiet=True, space=0.9),
        )

    @property
    def called(self) -> str:
        """Return the kind and the title."""
        return _called("caption", self.title)


@dataclass(frozen=True, slots=True)
class Credit:
    """A heading ("Photographs") and the names below it, each on a line of its own."""

    heading: str
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Credits:
    """Credits, heading by heading; a heading is repeated where its names go on on the next card."""

    sections: tuple[Credit, ...]

    goes_on: ClassVar[bool] = True

    @property
    def passages(self) -> tuple[Passage, ...]:
        """Return each heading with its names."""
        found: list[Passage] = []
        for credit in self.sections:
            found.append(Passage(credit.heading, "small", quiet=True, space=2.2, heading=True))
            found.extend(Passage(name, "list", space=0.35) for name in credit.names)
        return tuple(found)

    @property
    def called(self) -> str:
        """Return the kind."""
        return "credits"


def _called(kind: str, text: str) -> str:
    first = " ".join(text.split())
    return f"{kind} '{first[:39]}…'" if len(first) > 40 else f"{kind} '{first}'"
