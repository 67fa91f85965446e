"""What pages may still show: older states of the film, so that an edit on one of them can be understood."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from ..cutlist.slots import Slot
from .changes import ConflictError

_REMEMBERED = 300  # states


@dataclass(frozen=True, slots=True)
class Shown:
    """The text of film.toml and the slots of the cut as a page shows them, and what the text calls each by its id."""

    text: str
    cut: tuple[Slot, ...]
    names: Mapping[str, str | None]


@dataclass(slots=True)
class States:
    """The last states of the film by version."""

    _known: dict[str, Shown] = field(default_factory=dict)
    _last: Shown | None = None

    def remember(self, version: str, shown: Shown) -> None:
        """Take in a state, or note that one is the newest again."""
        if self._last is not None and (self._last.cut, self._last.names) == (shown.cut, shown.names):
            shown = replace(self._last, text=shown.text)  # a cut is held once, however many states have it
        self._known.pop(version, None)
        self._known[version] = self._last = shown
        for old in list(self._known)[:-_REMEMBERED]:
            del self._known[old]

    def of(self, version: str) -> Shown:
        """Return a state; ConflictError for one that is not remembered."""
        if version not in self._known:
            raise ConflictError(
                "this page shows an older state than the desk remembers; it has been brought up to date"
            )
        return self._known[version]
