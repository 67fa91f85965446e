"""The desk seen by a stranger: bytes sent over a raw socket. All that is not the page's own is refused, unwritten.

What must be refused follows RFC 9110 and 9112 (targets, Host, bodies), RFC 3986 (dots and escapes in paths), RFC 6265
(cookies), the Fetch standard (Origin) and W3C Fetch Metadata (Sec-Fetch-Site).
"""

from __future__ import annotations

import json
import socket
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.desk.stranger import Desk, edit, status

Listing = Callable[[Path], dict[str, str]]


def test_the_browser_that_has_the_key_is_let_in(desk: Desk) -> None:
    assert desk.status(desk.head("/")) == 200
    assert desk.status(desk.head("/api/film")) == 200
    body = edit(json.loads(desk.ask(desk.head()).partition(b"\r\n\r\n")[2])["version"], None)
    assert desk.status(desk.head("/api/edit", "POST", Content_Length=str(len(body))) + body) == 200


ADDRESSES = (
    "/",
    "/page/index.html",
    "/api/film",
    "/api/path/0",
    "/image/x?w=480",
    "/card/3",
    "/api/events",
    "/api/render",
)
ACTIONS = ("/api/edit", "/api/undo", "/api/redo", "/api/note", "/api/bring", "/api/render", "/api/render/stop")


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize("address", ADDRESSES)
def test_nothing_is_told_to_who_has_no_secret(desk: Desk, address: str) -> None:
    name, _, value = desk.cookie.partition("=")
    for cookie in (
        None,
        "",
        f"{name}=",
        f"{name}={value[:-1]}",
        f"{name}={value}x",
        f"other={value}",
        f"{name}={desk.key}",
        '"',
    ):
        answer = desk.ask(desk.head(address, Cookie=cookie))
        assert status(answer) == 403
        assert b"open the desk by the whole address" in answer


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize("key", ["", "x", "{key}x", "x&key={key}"])
def test_a_wrong_key_opens_nothing(desk: Desk, key: str) -> None:
    answer = desk.ask(desk.head(f"/?key={key.format(key=desk.key)}", Cookie=None))
    assert status(answer) == 403
    assert b"set-cookie" not in answer.lower()
    assert desk.status(desk.head(f"/api/film?key={desk.key}", Cookie=None)) == 403


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize("action", ACTIONS)
def test_nothing_is_done_for_who_has_no_secret(desk: Desk, action: str) -> None:
    body = edit()
    assert desk.status(desk.head(action, "POST", Cookie=None, Content_Length=str(len(body))) + body) == 403


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize(
    "host",
    [
        None,
        "",
        "localhost:{port}",
        "127.0.0.1",
        "127.0.0.1:1",
        "desk.example:{port}",
        "127.0.0.1:{port}.example",
        "[::1]:{port}",
    ],
)
def test_a_foreign_host_is_refused_with_the_secret_too(desk: Desk, host: str | None) -> None:
    named = None if host is None else host.format(port=desk.port)
    assert desk.status(desk.head(Host=named)) in (400, 403)
    assert desk.status(desk.head("/api/render/stop", "POST", Host=named, Content_Length="0")) in (400, 403)
    assert desk.status(desk.head(f"/?key={desk.key}", Host=named, Cookie=None)) in (400, 403)


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize(
    "origin",
    ["http://desk.example", "http://localhost:{port}", "https://127.0.0.1:{port}", "http://127.0.0.1:1", "null", ""],
)
def test_a_foreign_origin_is_refused_with_the_secret_too(desk: Desk, origin: str) -> None:
    body, named = edit(), origin.format(port=desk.port)
    assert desk.status(desk.head(Origin=named)) == 403
    assert desk.status(desk.head("/api/edit", "POST", Origin=named, Content_Length=str(len(body))) + body) == 403


@pytest.mark.usefixtures("untouched")
def test_what_writes_needs_an_origin(desk: Desk) -> None:
    body = edit()
    for action in ACTIONS:
        assert desk.status(desk.head(action, "POST", Origin=None, Content_Length=str(len(body))) + body) == 403


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize("site", ["cross-site", "same-site", "elsewhere"])
def test_a_page_of_another_port_or_site_is_refused_by_what_the_browser_says_of_it(desk: Desk, site: str) -> None:
    assert desk.status(desk.head(Sec_Fetch_Site=site)) == 403


@pytest.mark.usefixtures("untouched")
def test_headers_given_twice_are_refused(desk: Desk) -> None:
    for extra in ("Host: desk.example", f"Origin: http://{desk.host}\r\nOrigin: http://desk.example"):
        assert desk.status(desk.head().replace(b"Connection", extra.encode() + b"\r\nConnection", 1)) == 400
    both = desk.head("/api/edit", "POST", Content_Length="2", Transfer_Encoding="chunked")
    assert desk.status(both + b"2\r\n{}\r\n0\r\n\r\n") == 400


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize(
    "target",
    [
        *("/page/../session.py", "/page/..%2fsession.py", "/page/%2e%2e/session.py", "/page/..%5csession.py"),
        *(
            "/page/....//session.py",
            "/page//etc/passwd",
            "/page/%2fetc%2fpasswd",
            "//etc/passwd",
            "/page/index.html%00.js",
        ),
        *(
            "/image/../../film.toml",
            "/image/..%2f..%2ffilm.toml?w=480",
            "/image/%252e%252e%252ffilm.toml",
            "/card/../film",
        ),
        *(
            "/page/.hidden",
            "/page/index.html/",
            "/page/index.html;x",
            "/page\\index.html",
            "/api/film/../../page/index.html",
        ),
        *(
            "film.toml",
            "*",
            "http://desk.example/api/film",
            "file:///etc/passwd",
            "?",
            "/api/film#x",
            "/api//film",
            "/%61pi/film",
        ),
        *("/api/path/-1", "/api/path/4", "/api/path/0x0", "/api/path/1e0", "/api/path/9999999", "/card/0", "/card/99"),
        *(
            "/image/quay.png",
            "/image/photographs",
            "/image/x?w=480",
            "/page/page",
            "/page/main",
            "/api",
            "/out/manifest.json",
        ),
        "/api/path/0?" + "x" * 600,
        "/" + "a" * 600,
    ],
)
def test_no_target_reaches_what_is_not_served(desk: Desk, target: str) -> None:
    answer = desk.ask(desk.head(target))
    assert status(answer) in (400, 404)
    assert b"root:" not in answer
    assert b"Salt and Linen" not in answer


@pytest.mark.usefixtures("untouched")
def test_a_target_with_bytes_that_no_target_holds_is_refused(desk: Desk) -> None:
    for byte in (b"\x00", b"\x80", b"\xff", b" x", b"\t", b"\x7f", "é".encode()):
        request = desk.head("/api/filmX").replace(b"filmX", b"film" + byte)
        assert desk.status(request) in (400, 404)


@pytest.mark.usefixtures("untouched")
@pytest.mark.parametrize(
    "method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "HEAD", "PROPFIND", "get", "X"]
)
def test_other_methods_are_refused(desk: Desk, method: str) -> None:
    assert desk.status(desk.head("/api/film", method)) in (400, 403, 405)


@pytest.mark.usefixtures("untouched")
def test_each_address_has_its_own_method(desk: Desk) -> None:
    assert desk.status(desk.head("/api/film", "POST", Content_Length="2") + b"{}") == 405
    for action in ("/api/edit", "/api/undo", "/api/redo", "/api/note", "/api/bring", "/api/render/stop"):
        assert desk.status(desk.head(action)) == 405


def test_every_answer_keeps_the_page_to_its_own(desk: Desk) -> None:
    policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'"
    for request in (
        desk.head("/"),
        desk.head("/api/film"),
        desk.head("/nothing"),
        desk.head(Cookie=None),
        desk.head("/api/edit"),
    ):
        headers = desk.ask(request).partition(b"\r\n\r\n")[0].decode().lower()
        assert f"content-security-policy: {policy}; font-src 'self'; base-uri 'none'; form-action" in headers
        assert "frame-ancestors 'none'" in headers
        assert "x-content-type-options: nosniff" in headers
        assert "referrer-policy: no-referrer" in headers
        assert "access-control" not in headers
        assert "\r\nserver:" not in headers


def test_a_refusal_tells_nothing_of_the_inside(desk: Desk) -> None:
    for request in (desk.head("/nothing"), desk.head("/api/path/99"), desk.head("/image/x?w=480")):
        answer = desk.ask(request)
        assert str(desk.folder).encode() not in answer
        assert b"Traceback" not in answer


def test_only_this_machine_is_served(desk: Desk) -> None:
    with pytest.raises(OSError), socket.create_connection((_other_address(), desk.port), timeout=2):  # noqa: PT011 # refused or unreachable
        pytest.fail("the desk answers on another address than 127.0.0.1")


def _other_address() -> str:
    """Return an address of this machine that is not 127.0.0.1: all of 127/8 is (RFC 1122, section 3.2.1.3)."""
    return "127.0.0.2"
