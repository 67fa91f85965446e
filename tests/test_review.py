"""Request, notes and status of one small film, from files to files."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from kenburns.errors import OptionError
from kenburns.job import make
from kenburns.notes.done import DONE_FILE
from kenburns.review import ask, credits_of, film_status, remarked

Photo = Callable[..., Path]
Listing = Callable[[Path], dict[str, str]]


@pytest.fixture
def film(tmp_path: Path, photograph: Photo) -> Path:
    photograph(tmp_path / "photographs" / "sea.png", 960, 640)
    photograph(tmp_path / "photographs" / "small.png", 100, 80)
    (tmp_path / "film.toml").write_text('[film]\nframe = "128x72"\ncodec = "review"\nstart = "10:00:00:00"\n')
    (tmp_path / "cutlist.csv").write_text(
        "slot,start,length,wanted,still,shot,credit\n1,10:00:02:00,25,Sea,sea.png,push in,Photograph: A. Name\n"
        "2,10:00:04:00,25,Small,small.png,push in,Photograph: B. Name\n3,10:00:06:00,25,The Quay,,hold,\n"
    )
    return tmp_path


def test_what_falls_short_or_is_missing_is_asked_for_in_a_table_and_in_letters(film: Path) -> None:
    asked = ask(film)
    rows = list(csv.reader((film / "out" / "request.csv").read_text(encoding="utf-8-sig").splitlines()))
    told = " ".join(" ".join(row) for row in rows)
    assert "small.png" in told
    assert "The Quay" in told
    assert "sea.png" not in told
    letters = [path.read_text() for path in asked.written if path.suffix == ".txt"]
    assert any("B. Name" in letter for letter in letters)
    assert all(path.is_file() for path in asked.written)


def test_a_strangers_request_is_never_written_over(film: Path, listing: Listing) -> None:
    (film / "out").mkdir()
    (film / "out" / "request.csv").write_text("mine")
    before = listing(film)
    with pytest.raises(OptionError, match="was not made by this tool"):
        ask(film)
    assert listing(film) == before


def test_notes_lie_on_their_slots_and_can_be_marked_done_and_open_again(film: Path) -> None:
    (film / "notes.txt").write_text("0:02 closer, please\n10:00:06:10 which quay?\n")
    laid = remarked(film).laid
    assert [note.places[0].slot for note in laid.notes] == ["1", "3"]
    first = laid.notes[0].note.id
    assert len(remarked(film, done=[first]).laid.open) == 1
    assert json.loads((film / DONE_FILE).read_text())["done"] == [first]
    assert len(remarked(film, reopened=[first]).laid.open) == 2
    assert (film / "notes.txt").read_text() == "0:02 closer, please\n10:00:06:10 which quay?\n"
    with pytest.raises(OptionError, match="no note has the id 'x'"):
        remarked(film, done=["x"])


def test_what_changed_since_the_version_watched_stands_at_its_note(film: Path) -> None:
    (film / "notes.txt").write_text("0:02 closer, please\n")
    make(film)
    assert remarked(film).answered[0].changes == ()
    (film / "film.toml").write_text((film / "film.toml").read_text() + '[slots.1]\nshot = "hold"\n')
    assert remarked(film).answered[0].changes[0].then == "1"


def test_a_note_stays_with_the_version_it_was_made_on_and_follows_its_slot(film: Path) -> None:
    make(film)
    (film / "notes.txt").write_text("0:02 closer, please\n0:06 which quay?\n")
    assert [len(answer.changes) for answer in remarked(film).answered] == [0, 0]
    # The new cut: ten seconds later, slot 1 held, slots numbered anew, the quay gone.
    (film / "cutlist.csv").write_text(
        "slot,start,length,wanted,still,shot,credit\n8,10:00:12:00,25,Sea,sea.png,hold,Photograph: A. Name\n"
        "9,10:00:14:00,25,Small,small.png,push in,Photograph: B. Name\n"
    )
    for _ in range(2):  # however often it is made
        make(film)
        (film / "notes.txt").write_text("0:02 closer, please\n0:06 which quay?\n0:14 lovely\n")
        found = remarked(film)
        assert [[place.slot for place in note.places] for note in found.laid.notes] == [["8"], [], ["9"]]
        assert "slot '3' is no longer in the film" in found.laid.notes[1].doubts
        words = {answer.note.note.text: [change.words for change in answer.changes] for answer in found.answered}
        first, gone, new = (words[text] for text in ("closer, please", "which quay?", "lovely"))
        assert first == [("called 8 instead of 1", "hold instead of push in", "10.00 s later")]
        assert gone == [("taken out of the film",)]
        assert new == []
    assert (film / "out" / "notes-plan.json").is_file()


def test_a_damaged_file_of_notes_keeps_no_clip_from_being_made(film: Path) -> None:
    make(film)
    (film / "notes.txt").write_bytes(bytes(range(256)) * 4)
    (film / "cutlist.csv").write_text((film / "cutlist.csv").read_text().replace("push in", "hold"))
    assert make(film).failed == ()


def test_whoever_made_a_photograph_is_named_once_and_what_is_not_cleared_is_told(film: Path) -> None:
    (film / "works.csv").write_text("title,file,photographer,permission\nSea,sea.png,A. Name,given\n")
    found = credits_of(film)
    assert "A. Name" in " ".join(name for _, names in found.groups for name in names)
    assert found.uncleared == ("2",)
    assert film_status(film).uncleared == ("2",)
    with pytest.raises(OptionError, match="appearance or alphabetical, not 'size'"):
        credits_of(film, "size")


def test_status_counts_what_is_finished_and_what_waits(film: Path) -> None:
    before = film_status(film)
    assert (before.finished, before.placeholder) == ((), ("3",))
    make(film)
    after = film_status(film)
    assert (after.finished, after.placeholder, after.flagged) == (("1", "2"), ("3",), ("2",))
    assert after.needs_attention
