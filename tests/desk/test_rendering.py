"""Rendering from the desk: what is asked for and no more, told as it goes, stopped between slots."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from kenburns.desk.rendering import Progress, Rendering
from kenburns.desk.session import Session
from kenburns.errors import OptionError
from kenburns.job import carry_out, make
from kenburns.plan.document import read_plan
from kenburns.prepare import Options, prepare

Decode = Callable[[Path], object]


def rendering(told: list[Progress] | None = None) -> Rendering:
    def tell() -> None:
        if told is not None:
            told.append(made.progress)

    made = Rendering(tell, time.monotonic)
    return made


def run(of: Rendering, session: Session) -> Progress:
    of.start(lambda: session.to_render(whole=True), session.refresh)
    of.join()
    return of.progress


CUT_LIST = """\
slot,start,length,wanted,still,shot
01,250,6,the harbour,harbour,push in
02,256,5,the quay,quay,hold
03,261,6,the linen,linen,pan
04,267,4,the salt,,
"""


@pytest.fixture(autouse=True)
def short_slots(film_folder: Path) -> None:
    (film_folder / "cutlist.csv").write_text(CUT_LIST, encoding="utf-8")


@pytest.fixture
def session(film_folder: Path) -> Session:
    desk = Session(film_folder)
    desk.refresh()
    return desk


def test_a_run_makes_every_slot_and_tells_how_far_it_is(
    session: Session, film_folder: Path, decode: Callable[[Path], object]
) -> None:
    told: list[Progress] = []
    last = run(rendering(told), session)
    assert last.as_json() == {
        "running": False,
        "done": 4,
        "total": 4,
        "current": [],
        "made": [{"slot": slot, "file": f"{slot}.mp4"} for slot in ("01", "02", "03", "04")],
        "failed": [],
        "error": None,
    }
    assert [one.done for one in told] == sorted(one.done for one in told)
    assert any(one.current for one in told)
    assert decode(film_folder / "out" / "01.mp4").frames == 6  # type: ignore[attr-defined] # of the tests' Decoded
    assert run(rendering(), session).total == 0


def test_one_run_at_a_time(session: Session) -> None:
    of = rendering()
    of.start(lambda: session.to_render(whole=True), session.refresh)
    with pytest.raises(OptionError, match="rendered already"):
        of.start(lambda: session.to_render(whole=True), session.refresh)
    of.join()
    assert of.progress.done == 4


def test_a_run_stopped_finishes_the_slots_in_work_and_the_next_run_makes_the_others(
    session: Session, film_folder: Path
) -> None:
    of: Rendering

    def tell() -> None:
        if of.progress.current:
            of.stop()

    of = Rendering(tell, time.monotonic)
    stopped = run(of, session)
    finished = {path.stem for path in (film_folder / "out").glob("*.mp4")}
    assert stopped.error == "stopped; what was finished stays"
    assert not stopped.running
    assert 1 <= len(finished) < 4
    assert not list((film_folder / "out").glob(".*.part"))
    again = run(rendering(), session)
    assert again.error is None
    assert {slot for slot, _ in again.made}.isdisjoint(finished)
    assert {slot for slot, _ in again.made} | finished == {"01", "02", "03", "04"}


def test_a_run_that_cannot_begin_says_why(session: Session, film_folder: Path) -> None:
    (film_folder / "out" / "01.mp4").write_text("somebody's own")
    last = run(rendering(), session)
    assert last.error is not None
    assert "was not made by this tool" in last.error
    assert (film_folder / "out" / "01.mp4").read_text() == "somebody's own"


def test_a_slot_that_fails_is_told_with_its_reason_and_the_others_are_made(session: Session, film_folder: Path) -> None:
    prepared = session.to_render(whole=True)
    (film_folder / "photographs" / "quay.png").unlink()
    of = rendering()
    of.start(lambda: prepared, lambda: None)
    of.join()
    ((slot, reason),) = of.progress.failed
    assert slot == "02"
    assert "'quay.png'" in reason
    assert [slot for slot, _ in of.progress.made] == ["01", "03", "04"]


def test_slots_chosen_are_made_and_all_others_stay_as_they_stand(film_folder: Path) -> None:
    make(film_folder)
    before = {path.name: path.stat().st_mtime_ns for path in (film_folder / "out").glob("*.mp4")}
    with (film_folder / "film.toml").open("a", encoding="utf-8") as film:
        film.write('\n[slots."01"]\nshot = "hold"\n[slots."03"]\nshot = "hold"\n')
    whole = prepare(film_folder, Options())
    outcome = carry_out(whole, only={"01"})
    after = {path.name: path.stat().st_mtime_ns for path in (film_folder / "out").glob("*.mp4")}
    assert outcome.rendered == ("01",)
    assert {name for name in after if after[name] != before[name]} == {"01.mp4"}
    assert read_plan(film_folder / "out" / "plan.json") == whole.plan
    assert make(film_folder).rendered == ("03",)


def test_a_slot_chosen_before_anything_was_made_is_made_alone_and_the_papers_are_of_the_whole_film(
    film_folder: Path,
) -> None:
    whole, out = prepare(film_folder, Options()), film_folder / "out"
    assert carry_out(whole, only={"02"}).rendered == ("02",)
    manifest = json.loads((out / "manifest.json").read_text(encoding="utf-8"))
    assert [entry["slot"] for entry in manifest["slots"]] == ["02"]
    assert read_plan(out / "plan.json") == whole.plan
    assert sorted(path.stem for path in (out / "paths").iterdir()) == ["01", "02", "03"]
    in_time = json.loads((out / "film.otio").read_text(encoding="utf-8"))
    clips = [child for track in in_time["tracks"]["children"] for child in track["children"]]
    assert {clip["metadata"]["kenburns"]["slot"] for clip in clips if clip["metadata"]} == {"01", "02", "03", "04"}
    assert make(film_folder).rendered == ("01", "03", "04")


def test_files_follow_all_slots_to_their_new_names_when_only_some_are_made(film_folder: Path) -> None:
    make(film_folder)
    before = (film_folder / "out" / "01.mp4").read_bytes()
    cut_list = (film_folder / "cutlist.csv").read_text(encoding="utf-8")
    renamed = cut_list.replace("\n01,", "\n07,").replace("03,261,6", "03,261,5")
    (film_folder / "cutlist.csv").write_text(renamed, encoding="utf-8")
    assert carry_out(prepare(film_folder, Options()), only={"02"}).rendered == ()
    assert (film_folder / "out" / "07.mp4").read_bytes() == before
    assert make(film_folder).rendered == ("03",)
