"""Files brought to the desk are copied into the film's folder, under safe names, and never over what is there.

What no system takes in a name: Microsoft, "Naming Files, Paths, and Namespaces". Multipart bodies: RFC 7578 and 2046.
"""

from __future__ import annotations

import asyncio
import tomllib
from collections.abc import AsyncIterator, Callable, Coroutine, Iterable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, TypeVar

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kenburns.cutlist.ids import check_id
from kenburns.desk import uploads
from kenburns.desk.bring import Brought, bring, safe_name, settle
from kenburns.desk.door import BRING, can_bring, hint_for, is_too_wide, new_film_folder
from kenburns.desk.uploads import Upload, receive_files
from kenburns.errors import OptionError, RequestError
from kenburns.prepare import Options, prepare

Photo = Callable[..., Path]
Listing = Callable[[Path], dict[str, str]]

CUT_LIST = b"slot,start,length,wanted\n01,0,50,sea\n"


@pytest.fixture
def arrive(tmp_path: Path, photograph: Photo) -> Callable[..., tuple[Upload, ...]]:
    """Lay files as they lie when they have arrived: contents by name, a picture for None."""

    def lay(**contents: bytes | None) -> tuple[Upload, ...]:
        return tuple(one(number, name, content) for number, (name, content) in enumerate(contents.items()))

    def one(number: int, name: str, content: bytes | None) -> Upload:
        path = tmp_path / "arrived" / f"{number:04d}"
        path.parent.mkdir(exist_ok=True)
        if content is None:
            photograph(path.with_suffix(".png"), 800, 600, number).rename(path)
        else:
            path.write_bytes(content)
        return Upload(name, path)

    return lay


Result = TypeVar("Result")


def apart(coroutine: Coroutine[Any, Any, Result]) -> Result:
    """Run in a thread of its own: the browser of other tests keeps an event loop running in this one."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, coroutine).result()


def brought(target: Path, arrived: Iterable[Upload], *, has_film: bool = False) -> Brought:
    return bring(target, tuple(arrived), has_film=has_film)


def test_an_empty_folder_becomes_a_film_of_what_is_brought(
    tmp_path: Path, arrive: Callable[..., tuple[Upload, ...]]
) -> None:
    film = tmp_path / "Salt and Linen"
    film.mkdir()
    assert can_bring(film)
    assert hint_for(film, "no photographs") == BRING
    told = brought(film, arrive(**{"works/sea.png": None, "Cut list v3.csv": CUT_LIST, "read me.txt": b"hello"}))
    assert (told.target, told.taken) == (film, (("sea.png", "sea.png"), ("Cut list v3.csv", "cutlist.csv")))
    assert told.left_out == (("read me.txt", "'read me.txt' is neither a photograph nor a cut list"),)
    assert (film / "cutlist.csv").read_bytes() == CUT_LIST
    plan = prepare(film, Options()).plan
    assert (plan.title, [(slot.slot, slot.kind) for slot in plan.slots]) == ("Salt and Linen", [("01", "clip")])


def test_photographs_alone_make_a_film_and_a_cut_list_may_come_later(
    tmp_path: Path, arrive: Callable[..., tuple[Upload, ...]]
) -> None:
    film = tmp_path / "film"
    film.mkdir()
    brought(film, arrive(**{"sea.png": None}))
    assert prepare(film, Options()).plan.slots[0].slot == "sea-whole"
    edl = b"TITLE: SALT\n001  AX V C 01:00:00:00 01:00:02:00 01:00:00:00 01:00:02:00\n* FROM CLIP NAME: SEA\n"
    told = brought(film, arrive(**{"edit.edl": edl}), has_film=True)
    assert told.taken == (("edit.edl", "cutlist.edl"),)
    assert tomllib.loads((film / "film.toml").read_text(encoding="utf-8"))["folders"]["cut_list"] == "cutlist.edl"
    assert [slot.frames for slot in prepare(film, Options()).plan.slots] == [50]
    again = brought(film, arrive(**{"other.csv": CUT_LIST, "quay.png": None}), has_film=True)
    assert again.left_out == (("other.csv", "the film has its cut list already, 'cutlist.edl'"),)
    assert (film / "cutlist.edl").read_bytes() == edl


def test_a_folder_with_other_things_in_it_gets_a_folder_for_the_film(
    tmp_path: Path, arrive: Callable[..., tuple[Upload, ...]], listing: Listing
) -> None:
    desk = tmp_path / "desk"
    (desk / "film").mkdir(parents=True)
    (desk / "letter.odt").write_text("dear")
    before = listing(desk)
    told = brought(desk, arrive(**{"sea.png": None}))
    assert told.target == desk / "film-2"
    after = listing(desk)
    assert before.items() <= after.items()
    assert {name.split("/")[0] for name in after.keys() - before.keys()} == {"film-2"}


def test_a_home_folder_is_no_film_whatever_lies_in_it(
    tmp_path: Path, photograph: Photo, monkeypatch: pytest.MonkeyPatch
) -> None:
    photograph(tmp_path / "pictures" / "sea.png", 800, 600)
    assert not is_too_wide(tmp_path)
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    assert is_too_wide(tmp_path)
    assert is_too_wide(Path("/"))
    assert (can_bring(tmp_path), new_film_folder(tmp_path)) == (True, tmp_path / "film")
    (tmp_path / "film.toml").write_text("")
    assert not is_too_wide(tmp_path)


def test_what_cannot_be_used_is_told_and_nothing_is_written(
    tmp_path: Path, arrive: Callable[..., tuple[Upload, ...]], listing: Listing
) -> None:
    film = tmp_path / "film"
    film.mkdir()
    for content, said in ((b"a,b\n1,2\n", "no header row"), (b"", "is empty"), (b"\x00\xff", "")):
        with pytest.raises(RequestError, match="nothing to take in") as refused:
            brought(film, arrive(**{"list.csv": content, "a.txt": b"x", ".hidden.jpg": b"x"}))
        assert said in str(refused.value)
        assert "arrived" not in str(refused.value)
    with pytest.raises(RequestError, match="no file has come"):
        brought(film, ())
    assert listing(film) == {}


def test_nothing_is_brought_into_a_folder_that_has_not_been_looked_at_yet(
    film_folder: Path, arrive: Callable[..., tuple[Upload, ...]], listing: Listing
) -> None:
    before = listing(film_folder)
    for folder in (film_folder, film_folder / "photographs"):
        assert not can_bring(folder)
        with pytest.raises(RequestError, match="wait until it has been looked at"):
            brought(folder, arrive(**{"sea.png": None}))
    assert listing(film_folder) == before


def test_a_file_that_is_there_is_never_written_over(
    film_folder: Path, arrive: Callable[..., tuple[Upload, ...]], listing: Listing
) -> None:
    before = listing(film_folder)
    arrived = arrive(**{"quay.png": b"another", "deep/quay.png": b"a third", "QUAY.PNG": b"big"})
    told = brought(film_folder, arrived, has_film=True)
    assert [lies for _, lies in told.taken] == ["quay-2.png", "quay-3.png", "QUAY.PNG"]
    after = listing(film_folder)
    assert before.items() <= after.items()
    same = (film_folder / "photographs" / "quay.png").read_bytes()
    assert brought(film_folder, arrive(**{"quay.png": same}), has_film=True).taken == (("quay.png", "quay.png"),)
    assert listing(film_folder) == after


def test_a_link_in_the_way_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "outside").write_text("mine")
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "sea.png").symlink_to(tmp_path / "outside")
    (tmp_path / "folder" / "quay.png").symlink_to(tmp_path / "nowhere")
    for name in ("sea", "quay"):
        (tmp_path / "new").write_text("theirs")
        assert settle(tmp_path / "new", tmp_path / "folder", f"{name}.png").name == f"{name}-2.png"
    assert (tmp_path / "outside").read_text() == "mine"
    assert not (tmp_path / "nowhere").exists()


def test_files_are_copied_where_they_cannot_be_moved(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_links(*_: object) -> None:
        raise OSError("no links here")

    monkeypatch.setattr("kenburns.desk.bring.os.link", no_links)
    (tmp_path / "sea.png").write_text("mine")
    (tmp_path / "new").write_text("theirs")
    assert settle(tmp_path / "new", tmp_path, "sea.png").read_text() == "theirs"
    assert (tmp_path / "sea.png").read_text() == "mine"
    assert not (tmp_path / "new").exists()


@pytest.mark.parametrize(
    ("given_name", "safe"),
    [
        ("sea.jpg", "sea.jpg"),
        ("Blaue Küche (links).JPG", "Blaue Küche (links).JPG"),
        ("../../etc/passwd.png", "passwd.png"),
        ("C:\\photos\\sea.tif", "sea.tif"),
        ("a:b*c?.png", "a_b_c_.png"),
        ("  sea . .png", "sea.png"),
        ("con.jpg", "photograph-con.jpg"),
        ("\x00\n.png", "__.png"),
        ("...png", "photograph.png"),
        ("n" * 300 + ".webp", "n" * 100 + ".webp"),
    ],
)
def test_names_are_made_safe_and_stay_as_near_as_can_be(given_name: str, safe: str) -> None:
    assert safe_name(given_name) == safe


@given(st.text(max_size=80), st.sampled_from([".jpg", ".TIF", ".png"]))
def test_every_name_becomes_one_part_that_every_system_takes(stem: str, suffix: str) -> None:
    name = safe_name(stem + suffix)
    assert "/" not in name
    assert not name.startswith(".")
    assert len(name.encode("utf-8", "replace")) < 200
    check_id(name.removesuffix(suffix) or "x")


def body(*parts: tuple[str, bytes], boundary: str = "edge", end: str = "--") -> bytes:
    told = b"".join(
        f'--{boundary}\r\nContent-Disposition: form-data; name="files"; filename="{name}"\r\n\r\n'.encode()
        + content
        + b"\r\n"
        for name, content in parts
    )
    return told + f"--{boundary}{end}\r\n".encode()


def receive(
    content: bytes, folder: Path, content_type: str = "multipart/form-data; boundary=edge", step: int = 7
) -> tuple[Upload, ...]:
    async def pieces() -> AsyncIterator[bytes]:
        for start in range(0, len(content), step):
            yield content[start : start + step]

    return apart(receive_files(content_type, pieces(), folder))


@given(
    st.lists(st.tuples(st.sampled_from(["a.jpg", "ü b.png", "x/y.tif"]), st.binary(max_size=60)), max_size=4),
    st.integers(1, 40),
)
def test_files_arrive_byte_for_byte_however_the_body_is_cut_up(
    tmp_path_factory: pytest.TempPathFactory, parts: list[tuple[str, bytes]], step: int
) -> None:
    kept = [(name, content) for name, content in parts if b"--edge" not in content]
    received = receive(body(*kept), tmp_path_factory.mktemp("in"), step=step) if kept else ()
    assert [(one.name, one.path.read_bytes()) for one in received] == kept


@pytest.mark.parametrize(
    ("content", "content_type", "said"),
    [
        (body(("a.jpg", b"x")), "application/json", "multipart/form-data"),
        (body(("a.jpg", b"x")), "multipart/form-data", "multipart/form-data"),
        (body(("a.jpg", b"x")), "multipart/form-data; boundary=other", "multipart/form-data"),
        (body(("a.jpg", b"x"), end=""), "multipart/form-data; boundary=edge", ""),
        (body(("a.jpg", b"x" * 500))[:300], "multipart/form-data; boundary=edge", "broke off"),
        (
            b'--edge\r\nContent-Disposition: form-data; name="a"\r\n\r\nx\r\n--edge--\r\n',
            "multipart/form-data; boundary=edge",
            "a file with a name",
        ),
        (b"\xff" * 100, "multipart/form-data; boundary=edge", "multipart/form-data"),
        (
            b'--edge\r\nContent-Disposition: form-data; filename="\xff.jpg"\r\n\r\n\r\n--edge--\r\n',
            "multipart/form-data; boundary=edge",
            "UTF-8",
        ),
        (b"--edge\r\n" + b"X: y\r\n" * 50, "multipart/form-data; boundary=edge", "multipart/form-data"),
        (b"--edge\r\nX: " + b"y" * 9000, "multipart/form-data; boundary=edge", "multipart/form-data"),
    ],
)
def test_a_body_that_is_no_whole_form_of_files_is_refused(
    tmp_path: Path, content: bytes, content_type: str, said: str
) -> None:
    with pytest.raises(OptionError) as refused:
        receive(content, tmp_path, content_type)
    assert said in str(refused.value)


def test_too_many_files_and_too_large_ones_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(uploads, "MOST_FILES", 2)
    monkeypatch.setattr(uploads, "LARGEST_FILE", 10)
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    assert len(receive(body(("a.jpg", b"x" * 10), ("b.jpg", b"")), tmp_path / "a")) == 2
    with pytest.raises(OptionError, match="at most 2 files"):
        receive(body(("a.jpg", b""), ("b.jpg", b""), ("c.jpg", b"")), tmp_path / "b")
    with pytest.raises(OptionError, match=r"'c\.jpg' is larger than"):
        receive(body(("c.jpg", b"x" * 11)), tmp_path)
