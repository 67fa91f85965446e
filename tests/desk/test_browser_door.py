"""The front door: files dropped on an empty desk become a film; later photographs join it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from kenburns.desk.server import DeskServer

pytestmark = pytest.mark.xdist_group("browser")

# A drop as the browser makes it: files in a DataTransfer, their bytes handed in from here.
DROP = """async ([selector, files]) => {
    const transfer = new DataTransfer();
    for (const [name, bytes] of files) transfer.items.add(new File([new Uint8Array(bytes)], name));
    const target = document.querySelector(selector);
    for (const kind of ['dragenter', 'dragover', 'drop'])
        target.dispatchEvent(new DragEvent(kind, { dataTransfer: transfer, bubbles: true, cancelable: true }));
}"""


def drop(page: Page, selector: str, paths: Sequence[Path]) -> None:
    page.evaluate(DROP, [selector, [[path.name, list(path.read_bytes())] for path in paths]])


@pytest.fixture
def brought(tmp_path: Path, photograph: Callable[..., Path]) -> list[Path]:
    """Draw two photographs and write a cut list for them."""
    cut_list = tmp_path / "from" / "the cuts.csv"
    pictures = [photograph(tmp_path / "from" / f"{name}.jpg", 700, 420, 3) for name in ("harbour", "quay")]
    cut_list.write_text("slot,start,end,wanted\n01,00:00:10:00,00:00:12:00,harbour\n", encoding="utf-8")
    return [*pictures, cut_list]


def test_a_drop_on_an_empty_desk_becomes_a_film(
    tmp_path: Path, brought: list[Path], open_desk: Callable[[Path], DeskServer], open_page: Callable[..., Page]
) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    page = open_page(open_desk(empty).address)
    expect(page.locator("h1")).to_contain_text("Bring a folder of photographs")
    expect(page.get_by_role("button", name="Choose a folder")).to_be_visible()
    before = [path.read_bytes() for path in brought]
    drop(page, ".door", brought)
    expect(page.locator("[data-slot='01']")).to_contain_text("harbour", timeout=30_000)
    assert sorted(path.name for path in empty.rglob("*.jpg") if ".desk" not in path.parts) == [
        "harbour.jpg",
        "quay.jpg",
    ]
    assert [path.read_bytes() for path in brought] == before


def test_a_photograph_dropped_on_the_wall_joins_the_film(
    desk_page: Callable[..., Page], film_folder: Path, brought: list[Path]
) -> None:
    page = desk_page()
    drop(page, ".table", [brought[0]])
    expect(page.locator(".spares")).to_contain_text("harbour.jpg", timeout=30_000)
    assert (film_folder / "photographs" / "harbour.jpg").read_bytes() == brought[0].read_bytes()


def test_what_is_no_photograph_is_refused_with_its_reason(desk_page: Callable[..., Page], tmp_path: Path) -> None:
    page = desk_page()
    (tmp_path / "song.mp3").write_bytes(b"la")
    drop(page, ".table", [tmp_path / "song.mp3"])
    expect(page.locator("#said")).to_contain_text("song.mp3")


def test_a_photograph_that_arrives_in_the_folder_appears_by_itself(
    desk_page: Callable[..., Page], film_folder: Path, photograph: Callable[..., Path]
) -> None:
    page = desk_page()
    photograph(film_folder / "photographs" / "late.png", 700, 420, 9)
    expect(page.locator(".spares")).to_contain_text("late.png", timeout=30_000)
