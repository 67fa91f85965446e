"""`kenburns spot`: a transcript and a works list become a cut list that `make` reads."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from kenburns.cutlist.reading import read_cut_list
from kenburns.errors import OptionError
from kenburns.spotting import propose_slots, write_proposal

Listing = Callable[[Path], dict[str, str]]

WORKS = "title,year,file\nBlue Kitchen,1987,kitchen.jpg\nThe Old Slip,1993,slip.jpg\n"
SAID = """WEBVTT

00:00:02.000 --> 00:00:06.000
<v Oda>In Blue Kitchen the window was not there at all.

00:00:10.000 --> 00:00:13.000
<v Asker>And what about The Old Slip?

00:00:13.000 --> 00:00:20.000
<v Oda>The Old Slip came two years later, in the boatyard.
"""


@pytest.fixture
def film(tmp_path: Path) -> Path:
    (tmp_path / "photographs").mkdir()
    (tmp_path / "film.toml").write_text('[film]\nstart = "10:00:00:00"\n')
    (tmp_path / "works.csv").write_text(WORKS)
    (tmp_path / "talk.vtt").write_text(SAID)
    return tmp_path


def test_the_written_cut_list_is_read_back_as_it_was_proposed(film: Path) -> None:
    proposal = propose_slots(film)
    assert [slot.wanted for slot in proposal.slots] == ["Blue Kitchen", "The Old Slip"]
    path = write_proposal(proposal)
    assert path == film / "cutlist.csv"
    read = read_cut_list(path, proposal.rate)
    assert [(slot.id, slot.start, slot.length, slot.wanted) for slot in read.slots] == [
        (slot.id, slot.start, slot.length, slot.wanted) for slot in proposal.slots
    ]
    assert read.problems == ()


def test_no_slot_lies_on_a_question(film: Path) -> None:
    slots = propose_slots(film).slots
    question = range(900_000 + 250, 900_000 + 325)  # ten hours and 10 to 13 s at 25 frames a second
    assert all(slot.end <= question.start or slot.start >= question.stop for slot in slots)
    assert slots[0].start >= 900_000 + 50


def test_a_cut_list_that_is_there_is_never_written_over(film: Path, listing: Listing) -> None:
    (film / "cutlist.csv").write_text("mine")
    before = listing(film)
    with pytest.raises(OptionError, match=r"cutlist\.csv' is there already"):
        write_proposal(propose_slots(film))
    assert listing(film) == before


def test_without_a_transcript_or_titles_the_person_is_told_what_to_bring(film: Path) -> None:
    (film / "works.csv").unlink()
    with pytest.raises(OptionError, match=r"put the titles to listen for into works\.csv"):
        propose_slots(film)
    (film / "works.csv").write_text(WORKS)
    (film / "talk.vtt").unlink()
    with pytest.raises(OptionError, match=r"no transcript \(\.vtt or \.srt\); name one with --transcript"):
        propose_slots(film)
