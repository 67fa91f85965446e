"""The notes of a review on the desk: each at its slot, marked done and opened again, and in nobody's file but ours."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from kenburns.desk.session import Session
from kenburns.errors import OptionError
from kenburns.job import make
from kenburns.notes.done import DONE_FILE
from kenburns.review import remarked

# The small film's slots: 01 from 10 s to 12 s, 02 to 14 s, 03 from 20 s, 04 from 30 s; nothing is at 50 s.
NOTES = """\
time,who,note
0:11,Ada,slower here
0:13,,closer on the rope
0:50,,more sea
"""


@pytest.fixture
def session(film_folder: Path) -> Session:
    (film_folder / "notes.csv").write_text(NOTES, encoding="utf-8")
    with (film_folder / "film.toml").open("a", encoding="utf-8") as film:
        film.write('[folders]\nnotes = "notes.csv"\n')
    desk = Session(film_folder)
    desk.refresh()
    return desk


def on_slots(session: Session) -> dict[str, list[dict[str, Any]]]:
    state = json.loads(session.now.body)
    return {slot["slot"]: slot["review"] for slot in state["slots"] if slot["review"]}


def test_each_note_stands_at_the_slot_that_it_is_about_and_the_others_apart(session: Session) -> None:
    noted = on_slots(session)
    assert {slot: [note["text"] for note in notes] for slot, notes in noted.items()} == {
        "01": ["slower here"],
        "02": ["closer on the rope"],
    }
    assert (noted["01"][0]["author"], noted["01"][0]["timecode"], noted["01"][0]["done"]) == (
        "Ada",
        "00:00:11:00",
        False,
    )
    assert [note["text"] for note in json.loads(session.now.body)["stray_notes"]] == ["more sea"]


def test_a_note_marked_done_is_kept_as_the_command_keeps_it_and_opened_again(
    session: Session, film_folder: Path
) -> None:
    note, version = on_slots(session)["01"][0]["id"], session.now.version
    session.mark(note, True)
    assert on_slots(session)["01"][0]["done"]
    assert session.now.version != version
    assert [one.note.id for one in remarked(film_folder).laid.notes if one.done] == [note]
    assert (film_folder / "notes.csv").read_text(encoding="utf-8") == NOTES
    remarked(film_folder, reopened=[note])
    session.refresh()
    assert not on_slots(session)["01"][0]["done"]


def test_no_note_and_no_notes_are_refused_and_nothing_is_written(session: Session, film_folder: Path) -> None:
    with pytest.raises(OptionError, match="no note has the id 'none'"):
        session.mark("none", True)
    (film_folder / "notes.csv").unlink()
    session.refresh()
    with pytest.raises(OptionError, match="no notes"):
        session.mark("none", True)
    assert not (film_folder / DONE_FILE).exists()


def test_notes_follow_their_slots_to_the_ids_of_a_new_cut(session: Session, film_folder: Path) -> None:
    make(film_folder)
    cut_list = (film_folder / "cutlist.csv").read_text(encoding="utf-8")
    moved = cut_list.replace("\n01,00:00:10:00,00:00:12:00", "\n07,00:01:10:00,00:01:12:00")
    (film_folder / "cutlist.csv").write_text(moved, encoding="utf-8")
    session.refresh()
    assert {slot: note[0]["text"] for slot, note in on_slots(session).items()} == {
        "07": "slower here",
        "02": "closer on the rope",
    }


def test_a_list_of_done_notes_that_is_none_keeps_nothing_else_back(session: Session, film_folder: Path) -> None:
    (film_folder / DONE_FILE).write_text("mine", encoding="utf-8")
    state = json.loads(session.refresh().body)
    assert DONE_FILE in state["problems"][0]
    assert len(state["slots"]) == 4
    assert (film_folder / DONE_FILE).read_text(encoding="utf-8") == "mine"
