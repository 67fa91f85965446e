"""How far a film is: counted by hand on a film of five slots, made for real."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from kenburns.job import make
from kenburns.notes.laying import Laid, lay
from kenburns.notes.reading import read_notes
from kenburns.prepare import Options, prepare, prepare_all
from kenburns.status import Status, status, status_lines

Photo = Callable[..., Path]

CUTS = """slot,start,length,wanted,still,shot
01,0,5,the sea,sea.png,push in
02,10,5,the slip,quay.png,hold
03,20,5,Black Water,,
04,30,5,the hill,hill.png,hold
05,40,5,the sea again,sea.png,hold
"""


@pytest.fixture
def folder(tmp_path: Path, photograph: Photo) -> Path:
    """Return a film with a picture too small (02) and one missing (03)."""
    for seed, (name, size) in enumerate({"sea": (400, 300), "quay": (100, 100), "hill": (300, 200)}.items()):
        photograph(tmp_path / "photographs" / f"{name}.png", *size, seed)
    (tmp_path / "cutlist.csv").write_text(CUTS)
    (tmp_path / "film.toml").write_text('[film]\ntitle = "Salt and Linen"\nframe = "128x72"\ncodec = "review"\n')
    return tmp_path


def noted(folder: Path, text: str) -> Laid:
    (folder / "notes.txt").write_text(text)
    return lay(read_notes(folder / "notes.txt", Fraction(25)), prepare(folder, Options()).plan, 0)


def test_before_anything_is_made_all_is_to_make(folder: Path) -> None:
    found = status(prepare_all(folder, Options()))
    assert (found.finished, found.placeholder, found.flagged) == ((), ("03",), ("02",))
    assert found.due == ("01", "02", "03", "04", "05")
    assert found.needs_attention


def test_what_is_made_is_finished_and_what_waits_for_something_is_not_ready(folder: Path) -> None:
    make(folder)
    laid = noted(folder, "frame 32 slower\n[x] frame 42 lovely\n\nCall Ilse.\n")
    found = status(prepare_all(folder, Options()), laid, unnamed={"01"}, uncleared={"01", "05"})
    assert (found.due, found.finished) == ((), ("01", "02", "04", "05"))
    assert (found.unnamed, found.uncleared, found.noted) == (("01",), ("01", "05"), ("04",))
    assert (found.notes, found.open_notes, found.unplaced) == (3, 2, 1)
    assert found.ready == ()
    assert status(prepare_all(folder, Options())).ready == ("01", "04", "05")


def test_a_changed_slot_is_to_make_again(folder: Path) -> None:
    make(folder)
    (folder / "cutlist.csv").write_text(CUTS.replace("04,30,5", "04,30,6"))
    found = status(prepare_all(folder, Options()))
    assert found.due == ("04",)
    assert "04" not in found.finished


def test_other_deliveries_are_counted(folder: Path) -> None:
    make(folder)
    with (folder / "film.toml").open("a") as file:
        file.write('[deliveries.vertical]\nframe = "72x128"\n')
    found = status(prepare_all(folder, Options()))
    assert [(other.name, other.frame, len(other.due)) for other in found.others] == [("vertical", "72x128", 5)]
    assert status_lines(found)[-1] == "vertical (72x128): 0 of 5 made, to make 01, 02, 03, 04, 05"


def test_the_words_say_each_count(folder: Path) -> None:
    laid = noted(folder, "frame 32 slower\n")
    assert status_lines(status(prepare_all(folder, Options()), laid, unnamed=[])) == (
        "Salt and Linen: 0 of 5 slots ready",
        "  finished         0",
        "  placeholder      1  03",
        "  to make          5  01, 02, 03, 04, 05",
        "  flagged          1  02",
        "  nobody named     0",
        "  not cleared      –  not recorded",
        "  open notes on    1  04",
        "  1 of 1 notes open",
    )


def test_a_large_film_fits_on_one_screen() -> None:
    slots = tuple(f"a slot with a long name {n:04d}" for n in range(2000))
    found = Status("f", slots, slots, slots, slots, slots, slots, slots, slots, 9000, 9000, 9000)
    lines = status_lines(found)
    assert len(lines) <= 24
    assert max(map(len, lines)) <= 100
    assert " more" in lines[2]


def test_json_has_the_same_counts(folder: Path) -> None:
    found = status(prepare_all(folder, Options()), uncleared=["05"])
    data = json.loads(json.dumps(found.as_json()))
    assert (data["placeholder"], data["flagged"], data["uncleared"], data["unnamed"]) == (["03"], ["02"], ["05"], None)
    assert data["needs_attention"]


def test_a_film_with_nothing_left_to_do_needs_none() -> None:
    found = Status("f", ("1",), ("1",), (), (), (), (), (), (), 0, 0, 0)
    assert not found.needs_attention
    assert replace(found, unplaced=1).needs_attention
