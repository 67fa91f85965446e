"""The real page on the real server: a small film whose photographs are drawn on the spot, in the system's Chromium."""

from __future__ import annotations

import os
import re
import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from kenburns.desk.server import DeskServer
from tests.desk.stranger import Desk

_BROWSERS = ("chromium", "chromium-browser")

FILM = """\
# A small film for the desk.
[film]
title = "Salt and Linen"  # its working title
rate = 25
frame = "640x360"
codec = "review"
"""

CUT_LIST = """\
slot,start,end,wanted,still,shot,caption
01,00:00:10:00,00:00:12:00,the harbour,harbour,push in,"Harbour, 1961"
02,00:00:12:00,00:00:14:00,the quay,quay,hold,
03,00:00:20:00,00:00:22:00,the linen,linen,pan,
04,00:00:30:00,00:00:31:00,the salt,,,
"""

SIZES = {"harbour.png": (1600, 900), "quay.png": (1280, 720), "linen.png": (1800, 900), "spare.png": (1200, 900)}


@pytest.fixture(scope="session")
def film_template(tmp_path_factory: pytest.TempPathFactory, photograph: Callable[..., Path]) -> Path:
    """Draw the film once, and look at it once, so that each test's copy opens quickly."""
    folder = tmp_path_factory.mktemp("desk") / "film"
    for seed, (name, size) in enumerate(SIZES.items()):
        photograph(folder / "photographs" / name, *size, seed)
    (folder / "film.toml").write_text(FILM, encoding="utf-8")
    (folder / "cutlist.csv").write_text(CUT_LIST, encoding="utf-8")
    server = DeskServer(folder)
    server._session.refresh()
    server._socket.close()
    return folder


@pytest.fixture
def film_folder(film_template: Path, tmp_path: Path) -> Path:
    """Copy the film for one test."""
    return Path(shutil.copytree(film_template, tmp_path / "film"))


@pytest.fixture
def open_desk() -> Iterator[Callable[[Path], DeskServer]]:
    """Serve folders until the test ends."""
    servers: list[DeskServer] = []

    def open_it(folder: Path) -> DeskServer:
        server = DeskServer(folder)
        server.start()
        servers.append(server)
        return server

    yield open_it
    for server in servers:
        server.stop()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Start the system's Chromium; without one tests are skipped here, but not where everything is checked."""
    found = next(filter(None, map(shutil.which, _BROWSERS)), None)
    if found is None:
        message = "no Chromium on this machine; install the system's own (on Debian: apt-get install chromium)"
        pytest.fail(message) if os.environ.get("CI") else pytest.skip(message)
    expect.set_options(timeout=20_000)
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.fixture
def open_page(browser: Browser) -> Iterator[Callable[..., Page]]:
    """Open addresses, each in a browser of its own; what the page's scripts complain of fails the test."""
    complaints: list[str] = []
    contexts = []

    def open_it(address: str, width: int = 1280, height: int = 800, **more: object) -> Page:
        context = browser.new_context(viewport={"width": width, "height": height}, **more)  # type: ignore[arg-type] # passed on as they are
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("console", lambda said: complaints.append(said.text) if "Content Security" in said.text else None)
        page.goto(address)
        return page

    yield open_it
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.fixture
def desk_page(
    film_folder: Path, open_desk: Callable[[Path], DeskServer], open_page: Callable[..., Page]
) -> Callable[..., Page]:
    """Open the small film's desk at a hash such as "#/slot/01"."""
    server = open_desk(film_folder)

    def open_it(hash_: str = "", **more: object) -> Page:
        page = open_page(server.address, **more)
        page.wait_for_selector("[data-slot]")
        if hash_:
            page.evaluate("hash => { location.hash = hash }", hash_)
            page.wait_for_selector(".slot .page")
        return page

    return open_it


@pytest.fixture(scope="session")
def desk(film_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    folder = Path(shutil.copytree(film_template, tmp_path_factory.mktemp("gate") / "film"))
    server = DeskServer(folder)
    server.start()
    key = server.address.partition("?key=")[2]
    answer = Desk(folder, server.port, key, "").ask(
        f"GET /?key={key} HTTP/1.1\r\nHost: 127.0.0.1:{server.port}\r\nConnection: close\r\n\r\n".encode()
    )
    found = re.search(rb"(?im)^set-cookie: (kenburns_\d+=[\w-]+); Path=/; HttpOnly; SameSite=Strict\r$", answer)
    assert found, answer
    assert b" 303 " in answer
    opened = Desk(folder, server.port, key, found[1].decode())
    _until_film(opened)
    yield opened
    server.stop()


def _until_film(desk: Desk) -> None:
    for _ in range(300):
        if b'"state": "film"' in desk.ask(desk.head()):
            return
        time.sleep(0.1)
    pytest.fail("the film did not open")


@pytest.fixture
def untouched(desk: Desk, listing: Callable[[Path], dict[str, str]]) -> Iterator[None]:
    """Fail the test if anything in the film's folder is another afterwards.

    But for the desk's memory of photographs, which it writes by itself once their dates have come to rest.
    """
    before = _asked_for(listing(desk.folder))
    yield
    assert _asked_for(listing(desk.folder)) == before


def _asked_for(files: dict[str, str]) -> dict[str, str]:
    return {name: content for name, content in files.items() if name != "out/.desk/records.json"}
