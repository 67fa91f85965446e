"""An unchanged run answers at once, in the words of a whole one; where anything has changed it never does."""

from __future__ import annotations

import gzip
import json
import os
import shutil
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from kenburns import last_answer, prepare
from kenburns.cards.families import file_of
from kenburns.cli import app
from kenburns.deliver.lock import only_run
from kenburns.errors import OptionError
from kenburns.job import Outcome, carry_out
from kenburns.last_answer import ANSWER_FILE, Answer, Question, answered, keep, question

pytestmark = pytest.mark.xdist_group("answers")

Photo = Callable[..., Path]
Change = Callable[[Path], object]

FILM = """
[film]
title = "Salt and Linen"
frame = "320x180"
codec = "small"
captions = "overlay"
card = "ours"

[deliveries.vertical]
frame = "180x320"
"""
CODEC = """
summary = "Small"
encoder = "libx264"
container = "mp4"
extension = "mp4"
pixel_format = "yuv420p"
dither = false
"""
CARD = """
summary = "Ours"
ground = "#161616"
ink = "#f0f0f0"
quiet = "#b2b2b2"
title = 0.084
body = 0.052
small = 0.04
typeface = "~/ours.ttf"
"""
ROWS = """slot,start,length,wanted,still,shot,caption,card,words
01,0,5,the sea,sea.png,push in,Sea,,
02,10,4,the quay [sic],,,,,
03,20,40,,,,,title,Salt and Linen | a film
04,70,5,,hill.png,,,,
"""


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory, photograph: Photo) -> Path:
    """Return a film with all that a run can read and make, made once."""
    folder = tmp_path_factory.mktemp("answers") / "film"
    photograph(folder / "photographs" / "sea.png", 960, 640, 1)
    photograph(folder / "photographs" / "deep" / "hill.png", 700, 900, 2)
    for family, name, text in (("codecs", "small", CODEC), ("cards", "ours", CARD)):
        (folder / "presets" / family).mkdir(parents=True)
        (folder / "presets" / family / f"{name}.toml").write_text(text)
    (folder / "film.toml").write_text(FILM)
    (folder / "cutlist.csv").write_text(ROWS)
    (folder / "works.csv").write_text("title,photographer,file\nThe Sea,Oda Velkerman,sea.png\n")
    shutil.copy(file_of(), folder / "ours.ttf")  # as a person would have a typeface of their own
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HOME", str(folder))
        assert run("make", folder)[0] == 1
    return folder


@pytest.fixture
def film(made_once: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return that film, its home with it, for a test to change."""
    monkeypatch.setenv("HOME", str(tmp_path / "film"))
    return shutil.copytree(made_once, tmp_path / "film")


def run(*arguments: str | Path) -> tuple[int, str, str]:
    """Run the command in this process; return status, standard output and standard error."""
    result = CliRunner().invoke(app, [str(argument) for argument in arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.stdout, result.stderr


@pytest.fixture
def planned(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """Return the targets that were planned: none by a run that answers at once."""
    seen: list[Path] = []
    plan = prepare.prepare_all

    def prepare_all(target: Path, *more: Any) -> Any:
        seen.append(target)
        return plan(target, *more)

    monkeypatch.setattr(prepare, "prepare_all", prepare_all)
    return seen


ANSWER = Answer(("0 files to make",), ("4 clips",), {"film": "Salt and Linen"}, needs_attention=True)


def asked(film: Path, *options: str | None) -> Question:
    found = question(film, None, None, *(options or (None,) * 5))
    assert found is not None
    return found


@pytest.fixture
def kept(film: Path) -> Path:
    """Return a film whose answer is kept."""
    keep(asked(film), ANSWER, lambda: True)
    assert answered(asked(film)) == ANSWER
    return film


def test_an_unchanged_run_plans_nothing_touches_nothing_and_says_what_a_whole_run_says(
    film: Path, planned: list[Path]
) -> None:
    whole = [run("make", film, *more) for more in ((), ("--json",))]
    assert len(planned) == 1  # the second of them was answered at once
    (film / "out" / ANSWER_FILE).unlink()
    again = run("make", film, "--json")
    assert len(planned) == 2
    when = {path: path.stat().st_mtime_ns for path in film.rglob("*") if path.is_file()}
    at_once = [run("make", film, *more) for more in ((), ("--json",))]
    assert len(planned) == 2
    assert {path: path.stat().st_mtime_ns for path in film.rglob("*") if path.is_file()} == when
    assert [answer[:2] for answer in at_once] == [whole[0][:2], again[:2]] == [answer[:2] for answer in whole]
    assert at_once[0][2].split() == whole[0][2].split()
    assert "slot '02': no photograph yet" in at_once[0][1]
    assert json.loads(at_once[1][1])["deliveries"][0]["unchanged"] == ["01", "02", "03", "04"]


def test_the_run_after_the_first_answers_as_a_whole_one_would(film: Path, planned: list[Path]) -> None:
    shutil.rmtree(film / "out")
    first = run("make", film, "--json")
    at_once = run("make", film, "--json")
    assert len(planned) == 1
    (film / "out" / ANSWER_FILE).unlink()
    whole = run("make", film, "--json")
    assert (json.loads(first[1])["rendered"], json.loads(whole[1])["rendered"]) == (["01", "02", "03", "04"], [])
    assert (at_once[0], json.loads(at_once[1])) == (whole[0], json.loads(whole[1]))


def test_every_file_of_a_film_counts_and_so_does_the_tool_itself(kept: Path) -> None:
    document = json.loads(gzip.decompress((kept / "out" / ANSWER_FILE).read_bytes()))
    seen = {*document["read"]["stamps"], *document["made"]["stamps"]}
    files = {path for path in kept.rglob("*") if path.is_file() and not path.name.startswith(".")}
    assert len(files) > 30
    assert {str(path) for path in (*files, Path(last_answer.__file__))} <= seen


def edited(name: str) -> Change:
    def change(film: Path) -> None:
        (film / name).write_bytes((film / name).read_bytes() + b"\n")

    return change


def put(name: str) -> Change:
    def change(film: Path) -> None:
        (film / name).parent.mkdir(exist_ok=True)
        (film / name).touch()

    return change


CHANGES: dict[str, Change] = {
    "a clip lost": lambda film: (film / "out" / "01.mp4").unlink(),
    "a clip of another delivery lost": lambda film: (film / "out" / "vertical" / "01.mp4").unlink(),
    "a clip cut short": lambda film: os.truncate(film / "out" / "01.mp4", 100),
    "a clip exchanged": lambda film: (film / "out" / "01.mp4").replace(film / "out" / "02.mp4"),
    "a caption edited": edited("out/captions/01.png"),
    "a motion table edited": edited("out/paths/01.csv"),
    "the sheet lost": lambda film: (film / "out" / "sheet.png").unlink(),
    "the plan edited": edited("out/plan.json"),
    "the manifest lost": lambda film: (film / "out" / "manifest.json").unlink(),
    "the records lost": lambda film: (film / "out" / "records.json").unlink(),
    "a stranger's file": put("out/retired/01.mp4"),
    "the out folder lost": lambda film: shutil.rmtree(film / "out"),
    "a delivery lost": lambda film: shutil.rmtree(film / "out" / "vertical"),
    "a photograph edited": edited("photographs/deep/hill.png"),
    "a photograph come": put("photographs/new.jpg"),
    "a photograph gone": lambda film: (film / "photographs" / "sea.png").unlink(),
    "a photograph renamed": lambda film: (film / "photographs" / "sea.png").rename(film / "photographs" / "see.png"),
    "a photograph touched": lambda film: os.utime(film / "photographs" / "sea.png"),
    "film.toml edited": edited("film.toml"),
    "the cut list edited": edited("cutlist.csv"),
    "the works list edited": edited("works.csv"),
    "the works list gone": lambda film: (film / "works.csv").unlink(),
    "notes come": put("notes.txt"),
    "a preset edited": edited("presets/codecs/small.toml"),
    "a preset come": put("presets/pacing/ours.toml"),
    "a typeface edited": edited("ours.ttf"),
}


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_after_any_change_there_is_no_answer(kept: Path, change: Change) -> None:
    change(kept)
    assert answered(asked(kept)) is None


def test_another_film_file_in_a_bare_folder_changes_the_answer(tmp_path: Path, photograph: Photo) -> None:
    photograph(tmp_path / "sea.png", 96, 64)
    (tmp_path / "out").mkdir()
    keep(asked(tmp_path), ANSWER, lambda: True)
    assert answered(asked(tmp_path)) == ANSWER
    (tmp_path / "cutlist.csv").write_text("slot,start,length\n1,0,4\n")
    assert answered(asked(tmp_path)) is None


def test_other_options_and_another_place_to_stand_in_have_no_answer(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert answered(asked(kept, "640x360")) is None
    assert answered(asked(kept / "film.toml")) is None
    monkeypatch.chdir(kept)
    assert answered(asked(kept)) is None  # names in presets may be seen from here


def test_another_release_of_a_library_has_no_answer(
    kept: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "more" / "pillow-99.0.dist-info").mkdir(parents=True)
    monkeypatch.syspath_prepend(str(tmp_path / "more"))
    assert answered(asked(kept)) is None


def test_only_what_a_person_could_edit_of_the_tool_itself_changes_the_answer(
    film: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tool = tmp_path / "tool"
    (tool / "deep" / "__pycache__").mkdir(parents=True)
    (tool / "deep" / "path.py").write_text("FASTEST = 1\n")
    monkeypatch.setattr(last_answer, "PACKAGE", tool)
    keep(asked(film), ANSWER, lambda: True)
    for compiled in ("path.cpython-311.pyc", "path.eased-3.py311.nbi", "path.eased-3.py311.1.nbc"):
        (tool / "deep" / "__pycache__" / compiled).touch()  # by Python, and by numba (`cache=True` in its manual)
        assert answered(asked(film)) == ANSWER
    (tool / "deep" / "path.py").write_text("FASTEST = 2\n")
    assert answered(asked(film)) is None


def _says_the_same(damaged: bytes, whole: bytes) -> bool:
    try:
        return gzip.decompress(damaged) == gzip.decompress(whole)
    except (OSError, EOFError, zlib.error):
        return False


def test_a_damaged_answer_is_none(kept: Path) -> None:
    file = kept / "out" / ANSWER_FILE
    whole = file.read_bytes()
    for cut in range(0, len(whole), max(len(whole) // 20, 1)):
        file.write_bytes(whole[:cut])
        assert answered(asked(kept)) is None
        damaged = whole[:cut] + bytes([whole[cut] ^ 0x10]) + whole[cut + 1 :]
        # Some bits say nothing (RFC 1952, 2.3.1: time, flags, system; RFC 1951, 3.2.3: what is left of the last byte).
        if not _says_the_same(damaged, whole):
            file.write_bytes(damaged)
            assert answered(asked(kept)) is None
    file.write_bytes(whole)
    assert answered(asked(kept)) == ANSWER


@pytest.mark.parametrize("document", ["", "[]", "{}", '{"asked": 3}', "[" * 100_000, '{"answer": [], "asked": []}'])
def test_what_is_no_answer_is_none(kept: Path, document: str) -> None:
    (kept / "out" / ANSWER_FILE).write_bytes(gzip.compress(document.encode()))
    assert answered(asked(kept)) is None


def test_a_run_at_work_refuses_another_that_would_be_answered(kept: Path, planned: list[Path]) -> None:
    for out in (kept / "out", kept / "out" / "vertical"):
        with only_run(out), pytest.raises(OptionError, match="another run is at work"):
            answered(asked(kept))
    with only_run(kept / "out"):
        status, out_text, err = run("make", kept)
    assert (status, out_text, planned) == (2, "", [])
    assert "another run is at work" in err


def test_nothing_is_kept_while_another_run_is_at_work(film: Path) -> None:
    with only_run(film / "out" / "vertical"):
        keep(asked(film), ANSWER, lambda: True)
    assert answered(asked(film)) is None


def test_what_a_run_is_told_to_write_down_or_hand_out_is_done_whole(
    film: Path, planned: list[Path], tmp_path: Path
) -> None:
    run("make", film)
    run("make", film, "--dry-run")
    run("make", film, "--log", tmp_path / "log")
    assert len(planned) == 3
    assert '"run begins"' in (tmp_path / "log").read_text()
    run("make", film)
    assert len(planned) == 3


def test_a_run_in_which_a_photograph_was_refused_is_done_whole_the_next_time(film: Path, planned: list[Path]) -> None:
    (film / "photographs" / "torn.png").write_bytes((film / "photographs" / "sea.png").read_bytes()[:3000])
    for number in (1, 2):
        assert "torn.png" in run("make", film)[1]
        assert len(planned) == number


def meanwhile(change: Change, film: Path) -> Callable[..., Outcome]:
    """Return what makes a film while somebody changes something."""

    def carried_out(*arguments: Any, **more: Any) -> Outcome:
        outcome = carry_out(*arguments, **more)
        change(film)
        return outcome

    return carried_out


@pytest.mark.parametrize(
    "change",
    [
        edited("cutlist.csv"),
        lambda film: os.truncate(film / "out" / "01.mp4", 100),
        lambda film: (film / "out" / "paths" / "01.csv").unlink(missing_ok=True),
        edited("out/plan.json"),
    ],
)
def test_what_changes_while_a_film_is_made_is_seen_by_the_next_run(
    film: Path, planned: list[Path], monkeypatch: pytest.MonkeyPatch, change: Change
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr("kenburns.job.carry_out", meanwhile(change, film))
        run("make", film)
    run("make", film)
    assert len(planned) == 2


@pytest.fixture
def broken_off(film: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a film whose run was ended after a clip of it had been made anew."""
    run("make", film)
    (film / "out" / "01.mp4").unlink()
    with monkeypatch.context() as patch:
        patch.setattr("kenburns.job.write_motion_tables", _interrupted)
        assert run("make", film)[0] == 130
    return film


def _interrupted(*_arguments: object) -> None:
    raise KeyboardInterrupt


def test_after_a_run_that_was_ended_the_next_does_everything(broken_off: Path, planned: list[Path]) -> None:
    run("make", broken_off)
    assert len(planned) == 1


def test_a_strangers_file_of_that_name_is_never_replaced(film: Path) -> None:
    shutil.rmtree(film / "out")
    (film / "out").mkdir()
    (film / "out" / ANSWER_FILE).write_text("mine")
    status, _, err = run("make", film)
    assert status == 2
    assert "was not made by this tool" in err
    assert (film / "out" / ANSWER_FILE).read_text() == "mine"
