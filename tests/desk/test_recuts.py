"""A new cut, and another process that makes the film, while it is on the desk: nobody's work is lost or misplaced."""

from __future__ import annotations

import json
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kenburns.deliver.lock import LOCK_FILE
from kenburns.deliver.ours import our_folder
from kenburns.desk.rendering import Rendering
from kenburns.desk.server import DeskServer
from kenburns.desk.session import Session
from kenburns.errors import KenburnsError
from kenburns.job import make

HEAD, HARBOUR, QUAY = "slot,start,length,wanted,still,shot", "{},250,6,the harbour,harbour,", "{},256,5,the quay,quay,"


def cut(folder: Path, *rows: str) -> None:
    """Lay down a cut list, all at once as an editor that saves does."""
    fresh = folder / "cutlist.new"
    fresh.write_text("\n".join([HEAD, *rows, ""]), encoding="utf-8")
    fresh.replace(folder / "cutlist.csv")


def by_hand(folder: Path) -> dict[str, Any]:
    slots: dict[str, Any] = tomllib.loads((folder / "film.toml").read_text(encoding="utf-8")).get("slots", {})
    return slots


def change(slot: str, key: str, value: object) -> list[dict[str, object]]:
    return [{"table": "slots", "name": slot, "key": key, "value": value}]


@pytest.fixture
def session(film_folder: Path) -> Session:
    cut(film_folder, HARBOUR.format("1"), QUAY.format("2"))
    desk = Session(film_folder)
    desk.refresh()
    desk.edit(desk.now.version, change("1", "head", 1.5))
    return desk


def test_edits_follow_their_slots_to_other_ids_before_anything_was_made(session: Session, film_folder: Path) -> None:
    cut(film_folder, QUAY.format("1"), HARBOUR.format("2"))
    state = json.loads(session.refresh().body)
    assert [(slot["slot"], slot["by_hand"]["head"]) for slot in state["slots"]] == [("1", None), ("2", 1.5)]
    assert by_hand(film_folder) == {"2": {"head": 1.5}}
    assert not state["can_undo"]  # what could be taken back speaks of the cut before
    make(film_folder)
    assert by_hand(film_folder) == {"2": {"head": 1.5}}


@pytest.mark.usefixtures("session")
def test_edits_follow_a_new_cut_that_came_while_the_desk_was_closed(film_folder: Path) -> None:
    cut(film_folder, QUAY.format("1"), HARBOUR.format("2"))
    Session(film_folder).refresh()
    assert by_hand(film_folder) == {"2": {"head": 1.5}}
    Session(film_folder).refresh()
    assert by_hand(film_folder) == {"2": {"head": 1.5}}


def test_an_edit_on_a_page_that_shows_the_cut_before_goes_to_the_slot_that_it_shows(
    session: Session, film_folder: Path
) -> None:
    shown = session.now.version
    cut(film_folder, QUAY.format("1"), HARBOUR.format("2"))
    session.edit(shown, change("1", "tail", 0.5))
    assert by_hand(film_folder) == {"2": {"head": 1.5, "tail": 0.5}}
    cut(film_folder, QUAY.format("1"))
    with pytest.raises(KenburnsError, match="no slot '2'"):
        session.edit(session.now.version, change("2", "tail", 1))


def test_an_edit_after_someone_else_has_made_the_new_cut_lands_on_its_slot(session: Session, film_folder: Path) -> None:
    make(film_folder)
    cut(film_folder, QUAY.format("1"), HARBOUR.format("2"))
    shown = session.refresh().version
    session.edit(shown, change("2", "tail", 0.5))
    assert by_hand(film_folder) == {"1": {"head": 1.5, "tail": 0.5}}  # film.toml has the ids of what was made
    make(film_folder)
    assert by_hand(film_folder) == {"2": {"head": 1.5, "tail": 0.5}}
    session.edit(session.now.version, change("1", "note", "calm"))
    assert by_hand(film_folder) == {"2": {"head": 1.5, "tail": 0.5}, "1": {"note": "calm"}}


def test_edits_made_while_another_process_makes_the_film_are_all_kept(session: Session, film_folder: Path) -> None:
    make(film_folder)
    cut(film_folder, QUAY.format("1"), HARBOUR.format("2"))
    session.refresh()
    with subprocess.Popen([sys.executable, "-m", "kenburns", "make", str(film_folder)], stdout=subprocess.PIPE) as made:
        number = 0
        while made.poll() is None and number < 200:
            number += 1
            session.edit(session.now.version, change("1", "note", f"note {number}"))
            session.edit(session.now.version, change("2", "tail", number / 100))
            time.sleep(0.02)
        made.wait(60)
    assert by_hand(film_folder) == {"2": {"head": 1.5, "tail": number / 100}, "1": {"note": f"note {number}"}}


def test_a_render_waits_for_no_other_and_says_who_is_at_work(session: Session, film_folder: Path) -> None:
    of = Rendering(lambda: None, time.monotonic)
    with our_folder(film_folder / "out", ()):
        of.start(lambda: session.to_render(whole=True), session.refresh)
        of.join()
        assert (film_folder / "out" / LOCK_FILE).exists()
    assert "another run is at work" in (of.progress.error or "")
    of.start(lambda: session.to_render(whole=True), session.refresh)
    of.join()
    assert (of.progress.error, of.progress.done) == (None, 2)


def test_what_someone_else_has_made_is_noticed(film_folder: Path, open_desk: Callable[[Path], DeskServer]) -> None:
    server = open_desk(film_folder)
    make(film_folder)
    until = time.monotonic() + 20
    while time.monotonic() < until:
        prepared = server._session.now.prepared
        if prepared is not None and prepared.earlier is not None:
            break
        time.sleep(0.05)
    assert prepared is not None
    assert prepared.earlier == prepared.plan
