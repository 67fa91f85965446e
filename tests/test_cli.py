"""The command: exit statuses, what goes to which stream, and that a wrong request leaves nothing behind."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from kenburns.cli import app

Photo = Callable[..., Path]
Listing = Callable[[Path], dict[str, str]]

SMALL = ("--frame", "320x180", "--codec", "review")
CUT_LIST = "slot,start,length,wanted,still,shot\n01,0,4,,sea.png,hold\n"


def kenburns(*arguments: str | Path) -> tuple[int, str, str]:
    """Run the command in this process; return status, standard output and standard error."""
    result = CliRunner().invoke(app, [str(argument) for argument in arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.stdout, result.stderr


def real_kenburns(*arguments: str | Path, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """Run the real command in a process of its own."""
    command = [sys.executable, "-m", "kenburns", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, check=False, env={**os.environ, **environment}, timeout=120)


@pytest.fixture
def film(tmp_path: Path, photograph: Photo) -> Path:
    folder = tmp_path / "film"
    photograph(folder / "sea.png", 960, 640)
    (folder / "cutlist.csv").write_text(CUT_LIST)
    return folder


def test_a_film_that_comes_out_ends_with_0_and_only_json_on_standard_output(film: Path) -> None:
    done = real_kenburns("make", film, *SMALL, "--json")
    assert done.returncode == 0, done.stderr
    document = json.loads(done.stdout)
    assert document["rendered"] == ["01"]
    assert document["attention"] == []
    assert document["slots"][0]["file"] == "01.mp4"
    assert document["rate"] == "25/1"
    again = json.loads(kenburns("make", film, *SMALL, "--json")[1])
    assert (again["rendered"], again["unchanged"]) == ([], ["01"])


def test_a_wrong_request_ends_with_2_one_sentence_on_standard_error_and_nothing_written(
    film: Path, listing: Listing
) -> None:
    before = listing(film)
    done = real_kenburns("make", film, "--codec", "film-reel", "--json")
    assert (done.returncode, done.stdout) == (2, b"")
    assert done.stderr.startswith(b"kenburns: no codec preset is named 'film-reel'; ")
    assert b"Traceback" not in done.stderr
    assert listing(film) == before


def test_a_file_name_that_is_no_text_is_listed_and_ends_no_run(film: Path) -> None:
    os.link(film / "sea.png", os.fsencode(film) + b"/caf\xe9.png")
    done = real_kenburns("make", film, *SMALL, "--json", PYTHONIOENCODING="ascii")
    assert done.returncode == 1, done.stderr
    assert [refusal["file"] for refusal in json.loads(done.stdout)["refused"]] == ["caf\udce9.png"]
    in_words = real_kenburns("make", film, *SMALL, PYTHONIOENCODING="ascii")
    assert in_words.returncode == 1, in_words.stderr
    assert b"caf\\udce9.png" in in_words.stdout


def test_a_missing_picture_ends_with_1_and_the_rest_is_made(film: Path) -> None:
    (film / "cutlist.csv").write_text(CUT_LIST + "02,4,4,a work not photographed yet,,\n")
    status, out, _ = kenburns("make", film, *SMALL, "--json")
    document = json.loads(out)
    assert status == 1
    assert document["attention"] == ["slot '02': no photograph yet"]
    assert [slot["kind"] for slot in document["slots"]] == ["clip", "card"]


def test_a_still_too_small_ends_with_1(film: Path, photograph: Photo) -> None:
    photograph(film / "sea.png", 200, 120)
    status, out, _ = kenburns("make", film, *SMALL, "--json")
    assert status == 1
    assert "ask for" in json.loads(out)["attention"][0]


def test_an_unreadable_photograph_ends_with_1_and_the_rest_is_made(film: Path) -> None:
    (film / "torn.png").write_bytes((film / "sea.png").read_bytes()[:3000])
    status, out, _ = kenburns("make", film, *SMALL, "--json")
    document = json.loads(out)
    assert (status, document["rendered"]) == (1, ["01"])
    assert [refusal["file"] for refusal in document["refused"]] == ["torn.png"]


def test_a_bad_row_ends_with_1_and_names_its_line(film: Path) -> None:
    (film / "cutlist.csv").write_text(CUT_LIST + "02,xx,4,,sea.png,\n")
    status, out, _ = kenburns("make", film, *SMALL, "--json")
    assert status == 1
    assert json.loads(out)["attention"][0].startswith("cut list, line 3, column 'start': 'xx'")


def test_without_json_words_go_to_standard_output_and_progress_does_not(film: Path) -> None:
    status, out, _ = kenburns("make", film, *SMALL)
    assert status == 0
    assert "1 clip and 0 cards" in out
    assert "sheet.html" in out


def foreign(folder: Path, name: str, content: str = "somebody's own") -> None:
    (folder / "out").mkdir(exist_ok=True)
    (folder / "out" / name).write_text(content)


def empty(folder: Path) -> None:
    for path in folder.iterdir():
        path.unlink()


def nothing(_film: Path) -> None:
    """Prepare nothing."""


WRONG: list[tuple[Callable[[Path], Any], list[str], str]] = [
    (nothing, ["--frame", "huge"], "frame 'huge' is neither a preset nor WIDTHxHEIGHT"),
    (nothing, ["--frame", "321x180"], "frame '321x180': sides are even"),
    (nothing, ["--frame", ""], "frame '' is neither a preset nor WIDTHxHEIGHT"),
    (nothing, ["--frame", "128x64"], "codec 'edit' needs at least 256x120"),
    (nothing, ["--rate", "26"], "frame rate '26' is not known"),
    (nothing, ["--codec", "film-reel"], "no codec preset is named 'film-reel'"),
    (nothing, ["--cut-list", "nowhere.csv"], "cut list 'nowhere.csv' is no file"),
    (nothing, ["--out", "/dev/null/out"], "cannot be written to"),
    (nothing, ["--speed", "2"], "No such option"),
    (lambda film: (film / "cutlist.csv").write_text("a,b\n1,2\n"), [], "has no header row with start and end"),
    (lambda film: (film / "cutlist.csv").write_text(""), [], "is empty"),
    (lambda film: (film / "works.csv").write_text("colour\nred\n"), [], "works.csv"),
    (lambda film: (film / "film.toml").write_text("[film\n"), [], "'film.toml': must be TOML"),
    (lambda film: (film / "film.toml").write_text("[film]\nrate = 26\n"), [], "[film] rate"),
    (lambda film: (film / "film.toml").write_text("[film]\nspeed = 2\n"), [], "has no key 'speed'"),
    (lambda film: foreign(film, "01.mov"), [], "was not made by this tool"),
    (lambda film: foreign(film, "plan.json"), [], "was not made by this tool"),
    (lambda film: foreign(film, "manifest.json", '{"version": 1, "icons": []}'), [], "is no manifest of this tool's"),
    (lambda film: (film / "out").write_text("a file"), [], "is a file"),
    (empty, [], "holds no photographs"),
]


@pytest.mark.parametrize(("change", "options", "words"), WRONG, ids=[words for _, _, words in WRONG])
def test_a_request_that_is_wrong_ends_with_2_and_leaves_every_file_as_it_was(
    film: Path, listing: Listing, change: Callable[[Path], Any], options: list[str], words: str
) -> None:
    change(film)
    before, dates = listing(film), [path.stat().st_mtime_ns for path in sorted(film.rglob("*"))]
    status, out, err = kenburns("make", film, *options)
    assert (status, out) == (2, "")
    assert words in " ".join(err.replace("│", " ").split())
    assert listing(film) == before
    assert [path.stat().st_mtime_ns for path in sorted(film.rglob("*"))] == dates


@pytest.mark.parametrize("command", ["make", "check"])
def test_a_target_that_is_not_there_ends_with_2(tmp_path: Path, command: str) -> None:
    status, _, err = kenburns(command, tmp_path / "nowhere")
    assert status == 2
    assert "is not there; give a folder of photographs" in err
    assert list(tmp_path.iterdir()) == []


def test_check_ends_with_0_where_all_is_good_and_with_1_where_one_falls_short(film: Path) -> None:
    status, out, _ = kenburns("check", film, "--frame", "320x180", "--json")
    assert (status, json.loads(out)["needs_attention"]) == (0, False)
    status, out, _ = kenburns("check", film, "--frame", "320x180", "--zoom", "4", "--json")
    document = json.loads(out)
    assert (status, document["needs_attention"]) == (1, True)
    # 960/320 = 3 by width, so a zoom of 4 needs 4/3 times as many pixels: 1280 by 853.3, rounded up
    assert document["photographs"][0]["needed"] == {"width": 1280, "height": 854}


def test_check_in_words_names_photograph_verdict_and_size_to_ask_for(film: Path) -> None:
    status, out, _ = kenburns("check", film, "--frame", "320x180", "--zoom", "4")
    assert status == 1
    assert "sea.png" in out
    assert "short" in out
    assert "1280x854" in out


@pytest.mark.parametrize("zoom", ["0", "0.9", "-2", "nan", "wide"])
def test_check_refuses_a_zoom_below_one_with_2(film: Path, zoom: str) -> None:
    status, out, err = kenburns("check", film, "--zoom", zoom)
    assert (status, out) == (2, "")
    assert "zoom" in err


def test_new_makes_a_folder_once_and_refuses_the_second_time(tmp_path: Path, listing: Listing) -> None:
    folder = tmp_path / "a film"
    assert kenburns("new", folder)[0] == 0
    before = listing(folder)
    assert before.keys() == {"photographs", "film.toml", "cutlist.csv"}
    assert kenburns("new", folder)[0] == 2
    assert listing(folder) == before


def test_a_new_film_with_photographs_put_in_is_made(tmp_path: Path, photograph: Photo) -> None:
    folder = tmp_path / "film"
    kenburns("new", folder)
    assert kenburns("make", folder)[0] == 2  # no photographs yet, and no row in the cut list
    photograph(folder / "photographs" / "sea.png", 960, 640)
    (folder / "cutlist.csv").write_text(CUT_LIST)
    status, out, _ = kenburns("make", folder, *SMALL, "--json")
    assert (status, json.loads(out)["rendered"]) == (0, ["01"])


def test_originals_keep_every_byte_and_their_dates_through_every_command(film: Path) -> None:
    originals = [film / "sea.png", film / "cutlist.csv"]
    before = [(path.read_bytes(), path.stat().st_mtime_ns) for path in originals]
    kenburns("make", film, *SMALL)
    kenburns("check", film)
    assert [(path.read_bytes(), path.stat().st_mtime_ns) for path in originals] == before


def test_the_command_explains_itself() -> None:
    status, out, _ = kenburns("--help")
    assert status == 0
    assert all(command in out for command in ("make", "check", "demo", "new"))


def test_a_command_without_its_target_is_a_wrong_request() -> None:
    assert [kenburns(command)[0] for command in ("make", "check", "new")] == [2, 2, 2]
