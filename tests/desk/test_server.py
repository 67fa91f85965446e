"""The desk served and asked over HTTP, as the page asks it."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from kenburns.desk.events import MOST_LISTENERS
from kenburns.desk.server import DeskServer, serve
from kenburns.errors import OptionError

Photo = Callable[..., Path]
Listing = Callable[[Path], dict[str, str]]


@pytest.fixture
def client_of(open_desk: Callable[[Path], DeskServer]) -> Iterator[Callable[[Path], httpx.Client]]:
    """Open a desk on a folder, and return a client that it has let in."""
    clients: list[httpx.Client] = []

    def open_it(folder: Path) -> httpx.Client:
        server = open_desk(folder)
        base = f"http://127.0.0.1:{server.port}"
        client = httpx.Client(base_url=base, headers={"Origin": base}, timeout=60)
        clients.append(client)
        assert client.get(server.address).status_code == 303
        return client

    yield open_it
    for client in clients:
        client.close()


def film(client: httpx.Client, until: Callable[[dict[str, Any]], bool] = lambda state: state["state"] == "film") -> Any:
    for _ in range(400):
        state = client.get("/api/film").json()
        if until(state):
            return state
        time.sleep(0.05)
    raise AssertionError(state)


def change(key: str, value: object, name: str = "01", table: str = "slots") -> dict[str, object]:
    return {"table": table, "name": name, "key": key, "value": value}


def test_an_edit_is_answered_with_the_film_as_it_is_then(
    client_of: Callable[[Path], httpx.Client], film_folder: Path
) -> None:
    client = client_of(film_folder)
    state = film(client)
    answer = client.post("/api/edit", json={"version": state["version"], "changes": [change("shot", "tilt")]})
    assert answer.status_code == 200
    assert answer.json() == film(client)
    assert 'shot = "tilt"' in (film_folder / "film.toml").read_text(encoding="utf-8")
    undone = client.post("/api/undo", json={"version": answer.json()["version"]}).json()
    assert (undone["can_undo"], undone["can_redo"]) == (False, True)
    redone = client.post("/api/redo", json={"version": undone["version"]}).json()
    assert redone["slots"] == answer.json()["slots"]


def test_a_rule_broken_is_422_and_a_conflict_409_with_the_film_as_it_is(
    client_of: Callable[[Path], httpx.Client], film_folder: Path
) -> None:
    client = client_of(film_folder)
    state = film(client)
    broken = client.post("/api/edit", json={"version": state["version"], "changes": [change("head", -1)]})
    assert (broken.status_code, "seconds" in broken.json()["error"]) == (422, True)
    with (film_folder / "film.toml").open("a", encoding="utf-8") as text:
        text.write('\n[slots."01"]\nshot = "hold"\n')
    conflict = client.post("/api/edit", json={"version": state["version"], "changes": [change("shot", "tilt")]})
    assert conflict.status_code == 409
    assert conflict.json()["film"]["slots"][0]["by_hand"]["shot"] == "hold"


def test_pictures_come_as_jpeg_and_an_unchanged_one_is_not_sent_again(
    client_of: Callable[[Path], httpx.Client], film_folder: Path
) -> None:
    client = client_of(film_folder)
    state = film(client)
    address = f"/image/{state['photographs'][0]['id']}?w=480&look=x"
    first = client.get(address)
    assert (first.headers["content-type"], first.content[:3]) == ("image/jpeg", b"\xff\xd8\xff")
    again = client.get(address, headers={"If-None-Match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert client.get("/card/3?w=480").headers["content-type"] == "image/jpeg"
    assert client.get("/card/0?w=480").status_code == 404
    assert client.get(address.replace("480", "481")).status_code == 404


def test_what_someone_else_changes_is_told_and_appears(
    client_of: Callable[[Path], httpx.Client], film_folder: Path, photograph: Photo
) -> None:
    client = client_of(film_folder)
    state = film(client)
    heard = listen(client)
    photograph(film_folder / "photographs" / "late.png", 700, 500)
    film(client, lambda now: any(photo["name"] == "late.png" for photo in now["photographs"]))
    with (film_folder / "film.toml").open("a", encoding="utf-8") as text:
        text.write('\n[slots."01"]\nnote = "from elsewhere"\n')
    now = film(client, lambda now: now["slots"][0]["note"] == "from elsewhere")
    assert now["version"] != state["version"]
    until(lambda: ("film", {"version": now["version"]}) in heard)


def test_a_film_is_rendered_from_the_page_and_told_of(
    client_of: Callable[[Path], httpx.Client], film_folder: Path
) -> None:
    client = client_of(film_folder)
    film(client)
    heard = listen(client)
    assert client.post("/api/render", json={"slots": ["04"]}).status_code == 202
    until(lambda: any(kind == "render" and told["made"] for kind, told in heard))
    until(lambda: not client.get("/api/render").json()["running"])
    assert client.get("/api/render").json()["made"] == [{"slot": "04", "file": "04.mp4"}]
    assert [path.name for path in (film_folder / "out").glob("*.mp4")] == ["04.mp4"]
    assert client.post("/api/render/stop").status_code == 200


def listen(client: httpx.Client) -> list[tuple[str, Any]]:
    """Collect the news that a page hears, in a thread."""
    heard: list[tuple[str, Any]] = []

    def hear() -> None:
        kind = ""
        try:
            with client.stream("GET", "/api/events") as stream:
                for line in stream.iter_lines():
                    if line.startswith("event: "):
                        kind = line.removeprefix("event: ")
                    elif line.startswith("data: "):
                        heard.append((kind, json.loads(line.removeprefix("data: "))))
        except httpx.HTTPError:
            return

    threading.Thread(target=hear, daemon=True).start()
    until(lambda: len(heard) >= 2)
    return heard


def until(true: Callable[[], bool]) -> None:
    for _ in range(600):
        if true():
            return
        time.sleep(0.05)
    raise AssertionError("it did not come to pass in 30 s")


def test_files_dropped_on_an_empty_folder_make_a_film(
    client_of: Callable[[Path], httpx.Client], tmp_path: Path, photograph: Photo, listing: Listing
) -> None:
    folder = tmp_path / "new"
    folder.mkdir()
    client = client_of(folder)
    state = film(client, lambda now: not now["busy"])
    assert (state["state"], state["hint"].startswith("Bring a folder of photographs")) == ("empty", True)
    sea = photograph(tmp_path / "sea.png", 800, 600).read_bytes()
    files = [("files", ("sea.png", sea)), ("files", ("cut.csv", b"slot,start,length,wanted\n01,0,50,sea\n"))]
    answer = client.post("/api/bring", files=files).json()
    assert (answer["state"], answer["title"]) == ("film", "new")
    assert answer["brought"]["files"] == [
        {"name": "sea.png", "as": "sea.png"},
        {"name": "cut.csv", "as": "cutlist.csv"},
    ]
    assert set(listing(folder)) <= {
        *("film.toml", "cutlist.csv", "photographs", "photographs/sea.png"),
        *("out", "out/.desk", "out/.desk/records.json", "out/.desk/plan.json", "out/.desk/images"),
    }
    more = client.post("/api/bring", files=[("files", ("a.txt", b"x"))])
    assert more.status_code == 422
    assert not list(folder.rglob(".incoming*"))


def test_a_bringing_that_breaks_off_leaves_nothing(
    client_of: Callable[[Path], httpx.Client], tmp_path: Path, listing: Listing
) -> None:
    folder = tmp_path / "new"
    folder.mkdir()
    client = client_of(folder)
    film(client, lambda now: not now["busy"])
    whole = b'--e\r\nContent-Disposition: form-data; name="f"; filename="a.jpg"\r\n\r\n' + b"x" * 5000
    answer = client.post("/api/bring", content=whole, headers={"Content-Type": "multipart/form-data; boundary=e"})
    assert answer.status_code == 422
    assert listing(folder) == {}


def test_the_page_and_its_files_are_served_from_a_list(
    client_of: Callable[[Path], httpx.Client], film_folder: Path
) -> None:
    client = client_of(film_folder)
    assert client.get("/").headers["content-type"] == "text/html; charset=utf-8"
    assert client.get("/page/main.js").headers["content-type"] == "text/javascript; charset=utf-8"
    assert client.get("/page/gate.py").status_code == 404


def test_no_more_pages_listen_than_are_allowed(client_of: Callable[[Path], httpx.Client], film_folder: Path) -> None:
    client = client_of(film_folder)
    film(client)
    for _ in range(MOST_LISTENERS):
        listen(client)
    assert client.get("/api/events").status_code == 503


def test_a_port_that_is_taken_and_a_target_that_is_not_there_are_told(
    open_desk: Callable[[Path], DeskServer], film_folder: Path
) -> None:
    server = open_desk(film_folder)
    with pytest.raises(OptionError, match=rf"--port: {server.port} cannot be served"):
        serve(film_folder, server.port, open_browser=False, tell=lambda _: None)
    with pytest.raises(OptionError, match=r"is not there"):
        serve(film_folder / "nowhere", open_browser=False, tell=lambda _: None)
    with pytest.raises(OptionError, match=r"--port: a port is 0"):
        serve(film_folder, 70_000, open_browser=False, tell=lambda _: None)


def test_each_start_has_a_secret_of_its_own(film_folder: Path) -> None:
    servers = [DeskServer(film_folder) for _ in range(3)]
    keys = {server.address.partition("?key=")[2] for server in servers}
    for server in servers:
        server._socket.close()
    assert len(keys) == 3
    assert all(len(key) >= 43 for key in keys)  # 32 bytes: RFC 4648, section 5, without padding
