"""News for open pages, as server-sent events (WHATWG HTML, section 9.2)."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncGenerator, Mapping

MOST_LISTENERS = 16
"""Pages open at once; each holds a connection."""

_PULSE = 15.0  # seconds of silence after which a comment shows that the line stands


class Events:
    """The last news of each kind, handed to every listener; one that is slow misses what was overtaken."""

    def __init__(self) -> None:
        self._listeners: set[_Listener] = set()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._closed = False

    def open(self, loop: asyncio.AbstractEventLoop) -> None:
        """Say in which loop listeners wait."""
        self._loop = loop

    def close(self) -> None:
        """End every stream; called in the loop."""
        self._closed = True
        for listener in self._listeners:
            listener.woken.set()

    @property
    def is_full(self) -> bool:
        """Whether no further listener is taken."""
        return len(self._listeners) >= MOST_LISTENERS

    def tell(self, kind: str, data: str) -> None:
        """Hand news of a kind, one line of text, to all listeners; from any thread."""
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._hand_out, kind, data)

    def _hand_out(self, kind: str, data: str) -> None:
        for listener in self._listeners:
            listener.waiting[kind] = data
            listener.woken.set()

    async def stream(self, first: Mapping[str, str]) -> AsyncGenerator[bytes, None]:
        """Yield news as it comes, beginning with what stands now, until the desk closes or the page goes."""
        listener = _Listener(dict(first))
        self._listeners.add(listener)
        try:
            while not self._closed:
                yield listener.taken()
                await listener.wait(_PULSE)
        finally:
            self._listeners.discard(listener)


class _Listener:
    def __init__(self, waiting: dict[str, str]) -> None:
        self.waiting = waiting
        self.woken = asyncio.Event()

    def taken(self) -> bytes:
        """Return what waits, or a comment where nothing does."""
        news = "".join(f"event: {kind}\ndata: {data}\n\n" for kind, data in self.waiting.items()) or ": \n\n"
        self.waiting.clear()
        self.woken.clear()
        return news.encode()

    async def wait(self, seconds: float) -> None:
        try:
            await asyncio.wait_for(self.woken.wait(), seconds)
        except TimeoutError:
            return
