"""Passages of text, and the screens that they stand on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Role = Literal["title", "body", "list", "small"]
"""Which of the look's sizes a passage takes; "list" lies between body and small."""


@dataclass(frozen=True, slots=True)
class Passage:
    """A text in one size and ink, and the space above it in em; a `heading` is bold and keeps with what follows."""

    text: str
    role: Role
    quiet: bool = False
    space: float = 0.0
    heading: bool = False


@dataclass(frozen=True, slots=True)
class Screen:
    """The passages of one screen, set at `scale` times the look's sizes in the letter forms of a language (BCP 47)."""

    passages: tuple[Passage, ...]
    scale: float = 1.0
    language: str = ""

    @property
    def text(self) -> str:
        """All its words, a passage a line."""
        return "\n".join(passage.text for passage in self.passages)
