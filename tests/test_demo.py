"""The demo film comes out as it should, and goes into no folder that holds something else."""

from __future__ import annotations

import csv
import json
import os
import shutil
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from typer.testing import CliRunner, Result

from kenburns.cli import app
from kenburns.demo_film import lay_out
from kenburns.errors import FilmFileError, OptionError
from kenburns.film import FILM_FILE
from kenburns.plan.document import read_plan
from shared.paint import BROKEN, CARDS, PHOTOGRAPHS

SHARED = Path(__file__).parents[1] / "shared"
Listing = Callable[[Path], dict[str, str]]

# One photograph set takes many seconds to paint, so the tests that need it share one test process.
pytestmark = pytest.mark.xdist_group("demo film")


@pytest.fixture(scope="session")
def laid_out(tmp_path_factory: pytest.TempPathFactory, demo_photographs: Path) -> Path:
    """Return the demo film, its photographs linked from those painted once, for a small frame and quick encoding."""
    folder = tmp_path_factory.mktemp("demo") / "film"
    (folder / "photographs").mkdir(parents=True)
    for path in demo_photographs.iterdir():
        os.link(path, folder / "photographs" / path.name)
    settings = (SHARED / FILM_FILE).read_text("utf-8").replace('frame = "hd"', 'frame = "320x180"\ncodec = "review"')
    (folder / FILM_FILE).write_text(settings, "utf-8")
    lay_out(folder)
    return folder


@pytest.fixture(scope="session")
def run(laid_out: Path) -> Result:
    return CliRunner().invoke(app, ["demo", str(laid_out)])


@pytest.fixture(scope="session")
def manifest(laid_out: Path, run: Result) -> list[dict[str, Any]]:
    assert run.exit_code == 0, run.output
    rows: list[dict[str, Any]] = json.loads((laid_out / "out" / "manifest.json").read_bytes())["slots"]
    return rows


def cut_list() -> list[dict[str, str]]:
    with (SHARED / "cutlist.csv").open(newline="", encoding="utf-8") as lines:
        return list(csv.DictReader(lines, strict=True))


def frame(timecode: str) -> int:
    hours, minutes, seconds, frames = (int(part) for part in timecode.split(":"))
    return ((hours * 60 + minutes) * 60 + seconds) * 25 + frames


def test_laying_out_adds_the_lists_and_keeps_what_is_there(laid_out: Path) -> None:
    names = {path.name for path in laid_out.iterdir()} - {"out"}
    assert names == {"film.toml", "cutlist.csv", "works.csv", "captions.vtt", "photographs"}
    assert 'frame = "320x180"' in (laid_out / FILM_FILE).read_text("utf-8")
    assert {path.name for path in (laid_out / "photographs").iterdir()} == {*PHOTOGRAPHS, BROKEN}


def test_the_command_ends_with_0_though_it_lists_what_needs_attention(run: Result) -> None:
    assert run.exit_code == 0, run.output
    assert "Needs attention" in run.stdout
    assert BROKEN in run.stdout
    assert "no photograph yet" in run.stdout


def test_every_slot_decodes_to_its_frames_and_cards_stand_where_they_should(
    laid_out: Path, manifest: list[dict[str, Any]], decode: Any
) -> None:
    assert [row["slot"] for row in manifest if row["kind"] == "card"] == list(CARDS)
    for slot, row in zip(cut_list(), manifest, strict=True):
        clip = decode(laid_out / "out" / row["file"])
        assert row["slot"] == slot["slot"]
        assert clip.frames == row["frames"] == frame(slot["end"]) - frame(slot["start"])
        assert (clip.rate, clip.size) == (Fraction(25), (320, 180))


def test_no_clip_of_the_demo_enlarges_a_pixel(laid_out: Path, manifest: list[dict[str, Any]]) -> None:
    for row in manifest:
        table = laid_out / "out" / "paths" / f"{row['slot']}.csv"
        if row["kind"] == "card":
            assert not table.exists()
            continue
        assert row["smallest_scale"] >= 1.0
        sizes = [line.split(",")[3:] for line in table.read_text().splitlines()[1:]]
        assert len(sizes) == row["frames"]
        assert all(float(width) >= 320 and float(height) >= 180 for width, height in sizes)


def test_the_move_of_each_slot_is_the_one_its_cut_list_asks_for(laid_out: Path, run: Result) -> None:
    assert run.exit_code == 0, run.output
    asked = {slot["slot"]: slot["shot"] for slot in cut_list()}
    for slot in read_plan(laid_out / "out" / "plan.json").slots:
        kinds = [shot.kind for shot in slot.shots]
        if slot.kind == "clip" and asked[slot.slot] not in ("", "whole, then detail"):
            assert kinds == [asked[slot.slot]]
        elif slot.kind == "clip" and asked[slot.slot]:
            assert len(kinds) == 2


def test_the_contact_sheet_names_every_slot_and_the_broken_photograph(laid_out: Path, run: Result) -> None:
    assert run.exit_code == 0, run.output
    page = (laid_out / "out" / "sheet.html").read_text("utf-8")
    assert all(f"<h2>{slot['slot']}</h2>" in page for slot in cut_list())
    assert BROKEN in page
    with Image.open(laid_out / "out" / "sheet.png") as picture:
        picture.load()
        assert min(picture.size) > 500


def test_a_folder_with_something_else_in_it_is_refused_and_untouched(tmp_path: Path, listing: Listing) -> None:
    (tmp_path / "letters.txt").write_text("do not lose")
    before = listing(tmp_path)
    result = CliRunner().invoke(app, ["demo", str(tmp_path)])
    assert result.exit_code == 2
    assert "holds something else than the demo film" in result.stderr
    assert listing(tmp_path) == before


@pytest.mark.parametrize(
    ("settings", "error"), [('[film]\ntitle = "My Film"\n', OptionError), ("", OptionError), ("[film", FilmFileError)]
)
def test_another_film_is_refused_and_untouched(
    tmp_path: Path, listing: Listing, settings: str, error: type[Exception]
) -> None:
    (tmp_path / "photographs").mkdir()
    (tmp_path / FILM_FILE).write_text(settings)
    before = listing(tmp_path)
    with pytest.raises(error):
        lay_out(tmp_path)
    assert listing(tmp_path) == before


def test_a_file_in_the_folders_place_is_refused(tmp_path: Path) -> None:
    (tmp_path / "demo-film").write_text("a file")
    with pytest.raises(OptionError, match="cannot be made a folder"):
        lay_out(tmp_path / "demo-film")


def test_a_painting_broken_off_is_done_again_and_leaves_no_half_set(
    laid_out: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "film"
    shutil.copytree(laid_out, folder, ignore=shutil.ignore_patterns("out", "photographs"))

    def half(target: Path) -> None:
        target.mkdir(exist_ok=True)
        (target / "first.jpg").write_bytes(b"half")
        raise KeyboardInterrupt

    def whole(target: Path) -> None:
        target.mkdir(exist_ok=True)
        for name in ("first.jpg", "second.jpg"):
            (target / name).write_bytes(b"whole")

    painters = iter((half, whole))
    monkeypatch.setattr("kenburns.demo_film._painter", lambda _shared: type("Painter", (), {"paint": next(painters)}))
    with pytest.raises(KeyboardInterrupt):
        lay_out(folder)
    assert not (folder / "photographs").exists()
    lay_out(folder)
    assert sorted(path.read_bytes() for path in (folder / "photographs").iterdir()) == [b"whole", b"whole"]
    assert not list(folder.glob(".*"))
