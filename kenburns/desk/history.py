"""Undo and redo of a text of film.toml, also where somebody else has written other keys of it meanwhile."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from ..film_file import value_at, with_values
from .changes import Change, require_no_conflict
from .film_text import parsed

MOST_STEPS = 200
"""Kept in memory; the oldest are forgotten."""


@dataclass(frozen=True, slots=True)
class Step:
    """A text before and after an edit, and the edit's keys with their values then."""

    before: str
    after: str
    was: tuple[Change, ...]
    became: tuple[Change, ...]


def step(before: str, after: str, changes: Iterable[Change]) -> Step:
    """Return the step that led from one text to another by these changes."""
    became = tuple(changes)
    film = parsed(before)
    was = tuple(Change(change.place, value_at(film, change.place)) for change in became)
    return Step(before, after, was, became)


def taken_back(text: str, of: Step) -> str:
    """Return the text without a step: the very text before it, or else only its keys as they were.

    ConflictError where somebody else has set one of the keys since.
    """
    return _crossed(text, of.after, of.before, of.was)


def taken_again(text: str, of: Step) -> str:
    """Return the text with a step that was taken back; ConflictError as in `taken_back`."""
    return _crossed(text, of.before, of.after, of.became)


def _crossed(text: str, left: str, right: str, wanted: tuple[Change, ...]) -> str:
    if text == left:
        return right
    require_no_conflict(parsed(left), parsed(text), wanted)
    return with_values(text, {change.place: change.value for change in wanted})


@dataclass(slots=True)
class History:
    """The steps that can be undone and redone, the next one last."""

    done: list[Step] = field(default_factory=list)
    undone: list[Step] = field(default_factory=list)

    def add(self, taken: Step) -> None:
        """Remember a step; what was undone before it can no longer be redone."""
        self.done.append(taken)
        del self.done[:-MOST_STEPS]
        self.undone.clear()

    def undo(self) -> None:
        """Note that the last step has been taken back."""
        self.undone.append(self.done.pop())

    def redo(self) -> None:
        """Note that the step taken back last has been taken again."""
        self.done.append(self.undone.pop())
