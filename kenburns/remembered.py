"""Answers kept by what was asked, so that what follows from frozen values alone is worked out once."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from threading import Lock
from typing import Generic, TypeVar

Answer = TypeVar("Answer")

MOST = 20_000
"""Answers that are kept: more than a film asks for, for a film that is gone through again and again."""


class Remembered(Generic[Answer]):
    """Answers by question; safe from several threads. Questions asked lately are the ones that are `used`."""

    def __init__(self, known: Mapping[str, Answer] | None = None) -> None:
        """Begin with what is known from before, as `used` gave it."""
        self._known = dict(known or {})
        self._used: dict[str, Answer] = {}
        self._lock = Lock()

    def of(self, question: tuple[object, ...], answer: Callable[[], Answer]) -> Answer:
        """Return the answer to a question, whose parts are told apart by what `repr` says of them."""
        key = hashlib.sha256(repr(question).encode()).hexdigest()
        found = self._used.get(key, self._known.get(key))
        if found is None:
            found = answer()
        with self._lock:
            self._used[key] = found
            if len(self._used) > MOST:
                del self._used[next(iter(self._used))]
        return found

    @property
    def used(self) -> dict[str, Answer]:
        """The answers to what was asked, in an order of their own."""
        with self._lock:
            return dict(sorted(self._used.items()))
