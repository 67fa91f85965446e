"""What a stranger sends the desk over a raw socket: too much, too slowly, no JSON, no HTTP. All refused, unwritten.

Sizes and framing follow RFC 9110 and 9112.
"""

from __future__ import annotations

import json
import socket
import time

import pytest

from kenburns.desk import connection, gate
from tests.desk.stranger import Desk, edit, status


@pytest.mark.usefixtures("untouched")
def test_lines_headers_and_bodies_over_their_size_are_refused(desk: Desk) -> None:
    assert desk.status(desk.head("/" + "a" * 200_000)) in (0, 400)
    assert desk.status(desk.head(X_Long="a" * 200_000)) in (0, 400)
    assert desk.status(b"GET / HTTP/1.1\r\n" + b"X: y\r\n" * 50_000) in (0, 400)
    most = gate.LARGEST_BODY
    assert desk.status(desk.head("/api/edit", "POST", Content_Length=str(most + 1))) == 413
    assert desk.status(desk.head("/api/edit", "POST", Content_Length="9" * 14)) == 413
    for wrong in ("-1", "1e3", "0x10", "²"):
        assert desk.status(desk.head("/api/edit", "POST", Content_Length=wrong)) == 400
    chunked = desk.head("/api/edit", "POST", Transfer_Encoding="chunked")
    assert (
        desk.status(chunked + b"40000\r\n" + b" " * 0x40000 + b"\r\n" + (b"40000\r\n" + b" " * 0x40000 + b"\r\n") * 5)
        == 413
    )
    assert desk.status(desk.head("/api/film", Content_Length="5") + b"hello") == 413


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize(
    ("body", "content_type"),
    [
        (b"", "application/json"),
        (b"{", "application/json"),
        (b"[]", "application/json"),
        (b'"x"', "application/json"),
        (b'{"version": NaN, "changes": []}', "application/json"),
        (b"\xff\xfe", "application/json"),
        (b"[" * 500_000, "application/json"),
        (b'{"a":' * 100_000, "application/json"),
        (b"1" * 100_000, "application/json"),
        (b"version=x", "application/x-www-form-urlencoded"),
        (edit(), "text/plain"),
        (edit(), "multipart/form-data; boundary=x"),
    ],
)
def test_what_is_no_json_is_refused(desk: Desk, body: bytes, content_type: str) -> None:
    for action in ("/api/edit", "/api/undo", "/api/redo", "/api/render"):
        head = desk.head(action, "POST", Content_Length=str(len(body)), Content_Type=content_type)
        assert desk.status(head + body) in (400, 415)


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize(
    "document",
    [
        {},
        {"version": 1, "changes": []},
        {"version": "x"},
        {"version": "x", "changes": [{"table": "film", "name": "film", "key": "title", "value": "x"}]},
        {"slots": "01"},
        {"slots": ["../01"]},
        {"slots": []},
        {"slots": [1]},
        {"note": "x"},
        {"note": 1, "done": True},
        {"note": "../x", "done": True},
    ],
)
def test_json_that_asks_for_nothing_known_is_refused(desk: Desk, document: dict[str, object]) -> None:
    body = json.dumps(document).encode()
    action = "/api/render" if "slots" in document else "/api/note" if "note" in document else "/api/edit"
    assert desk.status(desk.head(action, "POST", Content_Length=str(len(body))) + body) in (409, 422)


@pytest.mark.usefixtures("untouched")
def test_a_body_that_comes_too_slowly_is_given_up(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(gate, "PATIENCE", 0.5)
    for action in ("/api/edit", "/api/bring"):
        answer = desk.ask(
            desk.head(action, "POST", Content_Length="100", Content_Type="multipart/form-data; boundary=x")
        )
        assert status(answer) in (408, 415)
    answer = desk.ask(desk.head("/api/edit", "POST", Content_Length="100") + b'{"version"')
    assert status(answer) == 408


@pytest.mark.usefixtures("untouched")
def test_a_head_that_never_comes_whole_is_given_up(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connection, "PATIENCE", 0.5)
    assert desk.ask(b"GET / HTTP/1.1\r\nHost: ") == b""
    assert desk.ask(b"") == b""
    with socket.create_connection(("127.0.0.1", desk.port), timeout=20) as line:
        assert letters_taken(line) < 100  # a letter at a time buys no time


def letters_taken(line: socket.socket) -> int:
    """Send a letter every 50 ms, at most a hundred; return how many went before the server closed."""
    for sent in range(100):
        try:
            line.sendall(b"X")
        except OSError:
            return sent
        time.sleep(0.05)
    return 100


@pytest.mark.usefixtures("untouched")
def test_bytes_that_are_no_http_are_refused(desk: Desk) -> None:
    for request in (
        b"\x16\x03\x01\x02\x00",
        b"hello\r\n\r\n",
        b"GET /\r\n\r\n",
        b"GET / HTTP/9.9\r\n\r\n",
        b"\x00" * 1000,
    ):
        assert desk.status(request) in (0, 400, 403)
