"""Where a film's parts lie, for a film folder, its film.toml, and a bare folder of photographs."""

from __future__ import annotations

from pathlib import Path

import pytest

from kenburns.errors import FilmFileError, OptionError
from kenburns.film import Film
from kenburns.film_place import FilmPlace, film_for


def film(folder: Path, text: str) -> Path:
    path = folder / "film.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_bare_folder_of_photographs_is_a_film_of_defaults(tmp_path: Path) -> None:
    assert film_for(tmp_path) == FilmPlace(
        film=Film(),
        file=None,
        root=tmp_path,
        photographs=tmp_path,
        cut_list=None,
        works=None,
        out=tmp_path / "out",
        presets=tmp_path / "presets",
    )
    assert film_for(tmp_path).title == tmp_path.name


@pytest.mark.parametrize("name", ["cutlist.csv", "Cut List.CSV", "cut-list.csv", "CUT_LIST.csv"])
def test_a_bare_folder_finds_its_cut_list_and_works_list_however_they_are_spelt(tmp_path: Path, name: str) -> None:
    for file in (name, "Works.csv", "other.csv", "cutlist.txt", "cutlist 2.csv"):
        (tmp_path / file).touch()
    place = film_for(tmp_path)
    assert (place.cut_list, place.works) == (tmp_path / name, tmp_path / "Works.csv")


def test_two_cut_lists_in_a_bare_folder_are_not_chosen_between_silently(tmp_path: Path) -> None:
    (tmp_path / "cutlist.csv").touch()
    (tmp_path / "cut list.csv").touch()
    with pytest.raises(OptionError, match=r"'cut list\.csv' and 'cutlist\.csv'; leave one"):
        film_for(tmp_path)
    assert film_for(tmp_path, cut_list=tmp_path / "cutlist.csv").cut_list == tmp_path / "cutlist.csv"


def test_a_film_folder_and_its_film_file_are_the_same_film(tmp_path: Path) -> None:
    (tmp_path / "scans").mkdir()
    (tmp_path / "cutlist.csv").touch()
    path = film(tmp_path, '[film]\ntitle = "The Salt Room"\n[folders]\nphotographs = "scans"\n')
    place = film_for(tmp_path)
    assert place == film_for(path)
    assert (place.photographs, place.cut_list, place.works) == (tmp_path / "scans", tmp_path / "cutlist.csv", None)
    assert (place.out, place.title, place.file) == (tmp_path / "out", "The Salt Room", path)


def test_the_film_file_may_have_another_name_and_folders_elsewhere(tmp_path: Path) -> None:
    photographs, root = tmp_path / "archive", tmp_path / "films"
    photographs.mkdir()
    root.mkdir()
    (root / "second cut.toml").write_text(
        f"[folders]\nphotographs = '{photographs}'\nout = '../clips'\n", encoding="utf-8"
    )
    place = film_for(root / "second cut.toml")
    assert (place.photographs, place.out.resolve()) == (photographs, (tmp_path / "clips").resolve())


@pytest.mark.parametrize("key", ["cut_list", "works"])
def test_a_list_that_is_named_but_absent_is_an_error_and_one_that_is_not_named_is_none(
    tmp_path: Path, key: str
) -> None:
    (tmp_path / "photographs").mkdir()
    film(tmp_path, "")
    assert (film_for(tmp_path).cut_list, film_for(tmp_path).works) == (None, None)
    film(tmp_path, f'[folders]\n{key} = "{key}.csv"\n')
    with pytest.raises(FilmFileError, match=rf"^'film\.toml', \[folders\] {key}: there is no file '.*{key}\.csv'"):
        film_for(tmp_path)


def test_a_cut_list_given_outright_comes_before_the_film_files(tmp_path: Path) -> None:
    (tmp_path / "photographs").mkdir()
    film(tmp_path, '[folders]\ncut_list = "absent.csv"\n')
    (tmp_path / "given.csv").touch()
    assert film_for(tmp_path, cut_list=tmp_path / "given.csv").cut_list == tmp_path / "given.csv"
    with pytest.raises(OptionError, match=r"cut list '.*none\.csv' is no file"):
        film_for(tmp_path, cut_list=tmp_path / "none.csv")


def test_a_film_folder_without_its_photographs_is_told_what_to_make(tmp_path: Path) -> None:
    film(tmp_path, "")
    with pytest.raises(FilmFileError, match=r"\[folders\] photographs: there is no folder '.*photographs'; make it"):
        film_for(tmp_path)


@pytest.mark.parametrize("name", ["absent", "absent.toml", "x" * 5000])
def test_no_such_target_is_said_with_what_would_work(tmp_path: Path, name: str) -> None:
    with pytest.raises(OptionError, match=r"(is not there; give a folder of photographs|cannot be read)"):
        film_for(tmp_path / name)


def test_a_target_that_is_another_kind_of_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "sea.jpg").touch()
    with pytest.raises(OptionError, match=r"sea\.jpg' is neither a folder nor a film\.toml; give"):
        film_for(tmp_path / "sea.jpg")


def test_clips_never_go_where_the_photographs_lie(tmp_path: Path) -> None:
    (tmp_path / "photographs").mkdir()
    film(tmp_path, '[folders]\nout = "./photographs/../photographs"\n')
    with pytest.raises(
        FilmFileError, match=r"^'film\.toml', \[folders\] out: out folder .* originals are never written"
    ):
        film_for(tmp_path)
    with pytest.raises(OptionError, match="originals are never written"):
        film_for(tmp_path, out=tmp_path / "photographs")
    with pytest.raises(OptionError, match="originals are never written"):
        film_for(tmp_path / "photographs", out=tmp_path / "photographs")
    assert film_for(tmp_path, out=tmp_path / "elsewhere").out == tmp_path / "elsewhere"


def test_an_out_folder_that_is_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "out").touch()
    with pytest.raises(OptionError, match=r"out folder '.*out' is a file; name a folder"):
        film_for(tmp_path)
