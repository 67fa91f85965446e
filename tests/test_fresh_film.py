"""The fresh film folder: everything it writes is read back, and it is laid over nothing."""

from __future__ import annotations

import csv
import os
import re
import tomllib
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kenburns.cutlist.reading import read_cut_list
from kenburns.errors import OptionError
from kenburns.film import DeliveryEdit, Folders, Settings, SlotEdit, StillEdit, load_film
from kenburns.film_place import film_for
from kenburns.fresh_film import film_text, new_film


def test_a_fresh_film_loads_and_is_a_film_of_defaults_with_the_folders_name(tmp_path: Path) -> None:
    written = new_film(tmp_path / "deep" / "The Salt Room")
    root = tmp_path / "deep" / "The Salt Room"
    assert written == (root / "film.toml", root / "cutlist.csv", root / "photographs")
    assert {path.name for path in root.iterdir()} == {path.name for path in written}
    place = film_for(root)
    assert place.film.settings == Settings(title="The Salt Room")
    assert (place.cut_list, place.works, place.photographs) == (root / "cutlist.csv", None, root / "photographs")


def test_a_fresh_cut_list_is_its_header_only(tmp_path: Path) -> None:
    new_film(tmp_path)
    with (tmp_path / "cutlist.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    assert rows == [["slot", "start", "end", "wanted", "still", "shot", "caption", "credit", "note"]]


def test_the_row_that_a_fresh_film_file_shows_is_a_row_that_the_cut_list_reads(tmp_path: Path) -> None:
    rows = re.findall(r"^#   (.*)$", film_text("A Film"), flags=re.MULTILINE)
    new_film(tmp_path)
    assert (tmp_path / "cutlist.csv").read_text(encoding="utf-8") == rows[0] + "\n"
    (tmp_path / "cutlist.csv").write_text("\n".join(rows), encoding="utf-8")
    cut_list = read_cut_list(tmp_path / "cutlist.csv", Fraction(25))
    assert cut_list.problems == ()
    # ten hours, five seconds at 25 frames a second; five seconds long
    assert [(slot.id, slot.start, slot.length, slot.shot) for slot in cut_list.slots] == [
        ("12", 900125, 125, "push in")
    ]


def uncommented(text: str) -> str:
    """Return the file with its examples in use: a # that a letter or bracket follows is taken away."""
    return re.sub(r"^#(?=[\w\[])", "", text, flags=re.MULTILINE)


def test_every_known_key_stands_in_a_fresh_film_file_and_every_key_there_is_known(tmp_path: Path) -> None:
    text = film_text("A Film")
    tables = tomllib.loads(uncommented(text))
    assert list(tables) == ["film", "folders", "deliveries", "stills", "slots"]
    assert list(tables["film"]) == list(Settings.model_fields)
    assert list(tables["folders"]) == list(Folders.model_fields)
    assert list(tables["deliveries"]["vertical"]) == list(DeliveryEdit.model_fields)
    assert list(tables["stills"]["sea.jpg"]) == list(StillEdit.model_fields)
    assert list(tables["slots"]["12"]) == list(SlotEdit.model_fields)
    (tmp_path / "film.toml").write_text(uncommented(text), encoding="utf-8")
    read = load_film(tmp_path / "film.toml")
    assert read.still("sea.jpg") != StillEdit()
    assert read.slot("12").shot == "push in"


def test_every_key_of_a_fresh_film_file_has_a_line_above_that_says_what_it_is() -> None:
    lines = film_text("A Film").splitlines()
    keys = [index for index, line in enumerate(lines) if re.match(r"#?\w+ = ", line)]
    assert len(keys) == sum(len(part.model_fields) for part in (Settings, Folders, DeliveryEdit, StillEdit, SlotEdit))
    assert all(re.match(r"# \S", lines[index - 1]) for index in keys)
    assert max(map(len, lines)) <= 120


@given(st.text(max_size=20))
def test_any_title_survives_the_fresh_film_file(title: str) -> None:
    assert tomllib.loads(film_text(title))["film"]["title"] == title


@pytest.mark.parametrize("name", ["film.toml", "cutlist.csv"])
def test_a_fresh_film_is_never_laid_over_a_file_that_is_there(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("mine", encoding="utf-8")
    with pytest.raises(OptionError, match=rf"{re.escape(name)}' is there already"):
        new_film(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == [name]
    assert (tmp_path / name).read_text(encoding="utf-8") == "mine"


def test_a_fresh_film_is_not_laid_over_a_dangling_link(tmp_path: Path) -> None:
    os.symlink(tmp_path / "elsewhere.toml", tmp_path / "film.toml")
    with pytest.raises(OptionError, match="is there already"):
        new_film(tmp_path)
    assert not (tmp_path / "elsewhere.toml").exists()


def test_a_fresh_film_joins_photographs_that_are_there(tmp_path: Path) -> None:
    (tmp_path / "photographs").mkdir()
    (tmp_path / "photographs" / "sea.jpg").write_bytes(b"sea")
    new_film(tmp_path)
    assert (tmp_path / "photographs" / "sea.jpg").read_bytes() == b"sea"


def test_a_fresh_film_where_no_folder_can_be_is_refused(tmp_path: Path) -> None:
    (tmp_path / "taken").touch()
    with pytest.raises(OptionError, match=r"taken.*' cannot be made"):
        new_film(tmp_path / "taken")
    (tmp_path / "photographs").touch()
    with pytest.raises(OptionError, match="photographs' cannot be made"):
        new_film(tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == {"taken", "photographs"}
