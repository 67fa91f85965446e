"""Who is let in: every request is judged here before anything else sees it, and every answer gets its headers here.

Browsers say which page a request comes from (Fetch standard: Origin; W3C Fetch Metadata: Sec-Fetch-Site), and a page
from elsewhere cannot change that. The Host is checked because a name from elsewhere can be made to mean this machine.
"""

from __future__ import annotations

import asyncio
import hmac
import json
import re
from collections.abc import Mapping
from http.cookies import CookieError, SimpleCookie
from secrets import token_urlsafe
from urllib.parse import parse_qs

from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

HOST = "127.0.0.1"

LARGEST_BODY = 1 << 20
"""Bytes of a request, but for files that are brought."""

LARGEST_BRINGING = 16 << 30
"""Bytes of a request that brings files: a few hundred large scans."""

PATIENCE = 10.0
"""Seconds in which a request's body arrives; of files that are brought, the longest pause."""

BRINGING = "/api/bring"

HEADERS: Mapping[str, str] = {
    "content-security-policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; "
        "font-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}

# What addresses here are made of. Nothing needs an escape, so none is taken; no part begins with a dot.
_PATH = re.compile(r"/|(/[A-Za-z0-9_-][A-Za-z0-9_.-]*)+")
_LONGEST_TARGET = 512


class Gate:
    """An application behind the gate. `key` is the secret that lets a browser in; the cookie's is another."""

    def __init__(self, app: ASGIApp, port: int) -> None:
        self.key = token_urlsafe(32)
        self._app = app
        self._host = f"{HOST}:{port}"
        self._cookie, self._pass = f"kenburns_{port}", token_urlsafe(32)

    @property
    def address(self) -> str:
        """The address that lets a browser in."""
        return f"http://{self._host}/?key={self.key}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it here."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
        elif scope["type"] == "http":
            await self._judge(scope, receive, send)

    async def _judge(self, scope: Scope, receive: Receive, send: Send) -> None:
        refused = self._malformed(scope) or self._foreign(scope)
        if refused is None and self._has_key(scope):
            await _answer(send, 303, "", {"location": "/", "set-cookie": self._set_cookie()})
            return
        refused = refused or self._stranger(scope) or _too_much(scope)
        if refused is not None:
            status, reason = refused
            await _answer(send, status, json.dumps({"error": reason}), {"connection": "close"})
            return
        await self._app(scope, _bounded(scope, receive), _with_headers(send))

    def _malformed(self, scope: Scope) -> tuple[int, str] | None:
        names = [name for name, _ in scope["headers"]]
        path = scope.get("raw_path", b"").decode("latin-1")
        if len(path) + len(scope["query_string"]) > _LONGEST_TARGET or not _PATH.fullmatch(path):
            return 400, "no such address"
        if any(names.count(name) > 1 for name in (b"host", b"origin", b"content-length", b"content-type")):
            return 400, "a header is there twice"
        if b"content-length" in names and b"transfer-encoding" in names:
            return 400, "a body has one length"
        return None if scope["method"] in ("GET", "POST") else (405, "only GET and POST are answered")

    def _foreign(self, scope: Scope) -> tuple[int, str] | None:
        origin = _header(scope, b"origin")
        if _header(scope, b"host") != self._host:
            return 403, f"the desk answers to http://{self._host} only"
        if origin != f"http://{self._host}" and (origin is not None or scope["method"] != "GET"):
            return 403, "a page from elsewhere may not ask this"
        if _header(scope, b"sec-fetch-site") not in (None, "same-origin", "none"):
            return 403, "a page from elsewhere may not ask this"
        return None

    def _has_key(self, scope: Scope) -> bool:
        if scope["method"] != "GET" or scope["path"] != "/":
            return False
        given = parse_qs(scope["query_string"].decode("latin-1")).get("key", [""])
        return hmac.compare_digest(given[0].encode(), self.key.encode())

    def _stranger(self, scope: Scope) -> tuple[int, str] | None:
        try:
            cookie = SimpleCookie(_header(scope, b"cookie") or "").get(self._cookie)
        except CookieError:
            cookie = None
        if cookie is None or not hmac.compare_digest(cookie.value.encode(), self._pass.encode()):
            return 403, "open the desk by the whole address that it printed at its start"
        return None

    def _set_cookie(self) -> str:
        return f"{self._cookie}={self._pass}; Path=/; HttpOnly; SameSite=Strict"


def _header(scope: Scope, name: bytes) -> str | None:
    return next((value.decode("latin-1") for key, value in scope["headers"] if key == name), None)


def _limit(scope: Scope) -> int:
    if scope["method"] == "GET":
        return 0
    return LARGEST_BRINGING if scope["path"] == BRINGING else LARGEST_BODY


def _too_much(scope: Scope) -> tuple[int, str] | None:
    length = _header(scope, b"content-length") or "0"
    if not re.fullmatch(r"[0-9]{1,15}", length):
        return 400, "a body's length is a number"
    if int(length) > _limit(scope):
        return 413, f"a request here is at most {_limit(scope)} bytes, not {length}"
    return None


def _bounded(scope: Scope, receive: Receive) -> Receive:
    """Return `receive` for a body that keeps to its size and its time; what comes after the body waits for nothing."""
    left, whole = _limit(scope), False
    is_bringing = scope["path"] == BRINGING
    until = asyncio.get_running_loop().time() + PATIENCE

    async def bounded() -> Message:
        nonlocal left, whole
        if whole:
            return await receive()
        pause = PATIENCE if is_bringing else max(until - asyncio.get_running_loop().time(), 0.0)
        try:
            message = await asyncio.wait_for(receive(), pause)
        except TimeoutError:
            raise HTTPException(408, "the request did not arrive in time", {"connection": "close"}) from None
        left -= len(message.get("body", b""))
        whole = not message.get("more_body", False)
        if left < 0:
            raise HTTPException(413, f"a request here is at most {_limit(scope)} bytes", {"connection": "close"})
        return message

    return bounded


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            given = list(message.get("headers", []))
            names = {name.lower() for name, _ in given}
            extra = {"cache-control": "no-store", **HEADERS}
            added = [(k.encode(), v.encode()) for k, v in extra.items() if k.encode() not in names]
            message = {**message, "headers": [*given, *added]}
        await send(message)

    return sent


async def _answer(send: Send, status: int, text: str, headers: Mapping[str, str]) -> None:
    body = text.encode()
    told = {"content-type": "application/json", "content-length": str(len(body)), **headers}
    start = {
        "type": "http.response.start",
        "status": status,
        "headers": [(k.encode(), v.encode()) for k, v in told.items()],
    }
    await _with_headers(send)(start)
    await send({"type": "http.response.body", "body": body})
