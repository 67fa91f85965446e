"""A stranger to the desk: bytes sent over a raw socket, with or without what lets a browser in."""

from __future__ import annotations

import contextlib
import json
import socket
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Desk:
    """A served film, and what the one browser that was let in sends with every request."""

    folder: Path
    port: int
    key: str
    cookie: str

    @property
    def host(self) -> str:
        return f"127.0.0.1:{self.port}"

    def head(self, target: str = "/api/film", method: str = "GET", **headers: str | None) -> bytes:
        """Return a request's head with all that lets it in; a header of None is left out."""
        usual = {"Host": self.host, "Cookie": self.cookie, "Connection": "close"}
        if method == "POST":
            usual |= {"Origin": f"http://{self.host}", "Content-Type": "application/json"}
        sent = usual | {name.replace("_", "-"): value for name, value in headers.items()}
        lines = [
            f"{method} {target} HTTP/1.1",
            *(f"{name}: {value}" for name, value in sent.items() if value is not None),
        ]
        return "\r\n".join([*lines, "", ""]).encode("latin-1")

    def ask(self, request: bytes, wait: float = 20.0) -> bytes:
        """Send bytes and return all that comes until the server closes; b"" where it just closes."""
        with socket.create_connection(("127.0.0.1", self.port), timeout=wait) as line:
            with contextlib.suppress(BrokenPipeError, ConnectionResetError):
                line.sendall(request)
            return received(line)

    def status(self, request: bytes) -> int:
        """Return the status of the answer, 0 where the server just closes."""
        return status(self.ask(request))


def received(line: socket.socket) -> bytes:
    answer = b""
    while True:
        try:
            some = line.recv(1 << 16)
        except ConnectionResetError:
            return answer
        if not some:
            return answer
        answer += some


def status(answer: bytes) -> int:
    return int(answer.split(b" ", 2)[1]) if answer else 0


def edit(version: str = "x", value: object = "tilt") -> bytes:
    change = {"table": "slots", "name": "01", "key": "shot", "value": value}
    return json.dumps({"version": version, "changes": [change]}).encode()
