"""The desk served: on this machine alone, to the one browser that has the key."""

from __future__ import annotations

import asyncio
import contextlib
import json
import socket
import threading
import time
import webbrowser
from collections.abc import AsyncIterator, Callable
from pathlib import Path

import uvicorn
from anyio import to_thread
from starlette.applications import Starlette
from starlette.exceptions import HTTPException

from ..errors import OptionError
from .app import Desk, failed
from .connection import Connection
from .events import Events
from .gate import HOST, Gate
from .images import prune
from .own_folder import own_folder
from .rendering import Rendering
from .session import Session
from .watching import watch

_MOST_CONNECTIONS = 200
_LARGEST_HEAD = 16 << 10  # bytes of a request's line and headers
_IDLE = 30  # seconds a connection may stand idle
_LAST_WORDS = 2  # seconds that answers under way have when the desk closes


class DeskServer:
    """One film on the desk. Its address holds the key; `run` serves until interrupted, `start` and `stop` beside."""

    def __init__(self, target: Path, port: int = 0) -> None:
        """Take a port of this machine, any free one for 0; OptionError where it is taken or the target is not there."""
        if not target.exists():
            raise OptionError(f"'{target}' is not there; give a folder of photographs, a film folder or its film.toml")
        self._socket = _listening(port)
        self._events = Events()
        self._session = Session(target, self._film_changed)
        self._rendering = Rendering(self._render_changed, time.monotonic)
        self._gate = Gate(self._application(), self.port)
        self._server = uvicorn.Server(_config(self._gate))
        self._thread: threading.Thread | None = None

    @property
    def port(self) -> int:
        """The port that is served."""
        port: int = self._socket.getsockname()[1]
        return port

    @property
    def address(self) -> str:
        """The address that lets a browser in."""
        return self._gate.address

    def run(self) -> None:
        """Serve until interrupted."""
        try:
            self._server.run(sockets=[self._socket])
        finally:
            self._rendering.stop(now=True)
            self._rendering.join()
            self._socket.close()

    def start(self) -> None:
        """Serve in a thread; returns when requests are answered."""
        self._thread = threading.Thread(target=self.run, name="kenburns-desk", daemon=True)
        self._thread.start()
        while not self._server.started and self._thread.is_alive():
            time.sleep(0.01)

    def stop(self) -> None:
        """End a server that was started in a thread, and wait for it."""
        self._server.should_exit = True
        if self._thread is not None:
            self._thread.join()

    def _application(self) -> Starlette:
        desk = Desk(self._session, self._rendering, self._events)
        handlers = {HTTPException: failed, Exception: failed}
        return Starlette(routes=desk.routes(), exception_handlers=handlers, lifespan=self._alive)

    @contextlib.asynccontextmanager
    async def _alive(self, _app: Starlette) -> AsyncIterator[None]:
        """Look at the film, and watch its folder, beside the requests."""
        self._events.open(asyncio.get_running_loop())
        stop = asyncio.Event()
        looking = asyncio.create_task(self._look(stop))
        closing = asyncio.create_task(self._close_events())
        yield
        stop.set()
        self._rendering.stop(now=True)
        await to_thread.run_sync(self._session.close)
        closing.cancel()
        await asyncio.gather(looking, closing, return_exceptions=True)

    async def _look(self, stop: asyncio.Event) -> None:
        await to_thread.run_sync(self._session.refresh)
        await to_thread.run_sync(self._prune)
        await watch(self._session, stop)

    async def _close_events(self) -> None:
        """End the streams of news when the server is asked to end: it would wait for them."""
        while not self._server.should_exit:
            await asyncio.sleep(0.1)
        self._events.close()

    def _prune(self) -> None:
        prepared = self._session.now.prepared
        folder = own_folder(prepared.place.out, "images") if prepared else None
        if folder is not None:
            prune(folder)

    def _film_changed(self, version: str) -> None:
        self._events.tell("film", json.dumps({"version": version}))

    def _render_changed(self) -> None:
        self._events.tell("render", json.dumps(self._rendering.progress.as_json()))


def serve(target: Path, port: int = 0, *, open_browser: bool = True, tell: Callable[[str], None] = print) -> None:
    """Serve the desk of a film until interrupted; `tell` hears the address.

    OptionError where the port is taken, or where there is no such target.
    """
    server = DeskServer(target, port)
    tell(f"The desk is open at {server.address}")
    tell("It is served to this machine alone. Ctrl-C closes it; everything set is kept in film.toml.")
    if open_browser:
        threading.Timer(0.3, webbrowser.open, [server.address]).start()
    with contextlib.suppress(KeyboardInterrupt):
        server.run()


def _listening(port: int) -> socket.socket:
    if not 0 <= port <= 65535:
        raise OptionError(f"--port: a port is 0, any free one, to 65535, not {port}")
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((HOST, port))
    except OSError as wrong:
        listening.close()
        raise OptionError(f"--port: {port} cannot be served ({wrong.strerror}); 0 takes any free one") from None
    return listening


def _config(app: Gate) -> uvicorn.Config:
    return uvicorn.Config(
        app,
        http=Connection,
        ws="none",
        loop="asyncio",
        lifespan="on",
        log_level="critical",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        h11_max_incomplete_event_size=_LARGEST_HEAD,
        limit_concurrency=_MOST_CONNECTIONS,
        timeout_keep_alive=_IDLE,
        timeout_graceful_shutdown=_LAST_WORDS,
    )
