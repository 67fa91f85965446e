"""A connection that does not wait for ever for a request that never comes whole."""

from __future__ import annotations

import asyncio

from uvicorn.protocols.http.h11_impl import H11Protocol

PATIENCE = 10.0
"""Seconds in which the line and the headers of a request arrive."""


class Connection(H11Protocol):
    """uvicorn's own, with a time for a request's head: uvicorn times only connections that stand idle."""

    _due: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Begin to wait for a first request."""
        super().connection_made(transport)  # type: ignore[arg-type]  # uvicorn narrows what asyncio hands over
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Take in what came, and stop waiting when it made a request whole."""
        super().data_received(data)
        if self._is_between_requests():
            self._wait()
        else:
            self._relax()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no more."""
        self._relax()
        super().connection_lost(exc)

    def _is_between_requests(self) -> bool:
        return self.cycle is None or self.cycle.response_complete

    def _wait(self) -> None:
        """Keep to the first deadline: a sender of one letter at a time gets no more time by it."""
        if self._due is None:
            self._due = self.loop.call_later(PATIENCE, self._give_up)

    def _relax(self) -> None:
        if self._due is not None:
            self._due.cancel()
            self._due = None

    def _give_up(self) -> None:
        self._due = None
        if self._is_between_requests() and not self.transport.is_closing():
            self.transport.close()
