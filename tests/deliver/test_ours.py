"""An out folder for one run: strangers' files refused, our names written down before anything is made."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from kenburns.deliver.lock import LOCK_FILE
from kenburns.deliver.manifest import read_manifest
from kenburns.deliver.ours import our_folder
from kenburns.errors import BrokenOffError, OptionError

Listing = Callable[[Path], dict[str, str]]


def test_names_are_ours_on_disk_while_the_folder_is_held_and_after(tmp_path: Path) -> None:
    out = tmp_path / "deep" / "out"
    with our_folder(out, ["a.mov", "paths/a.csv"]) as ours:
        assert (out / LOCK_FILE).is_file()
        assert ours.lock.is_ours()
        assert read_manifest(out) == ours.manifest
        assert ours.manifest.owned == ("a.mov", "paths/a.csv")
    with our_folder(out, ["b.mov", "a.mov"]):
        pass
    assert read_manifest(out).owned == ("a.mov", "paths/a.csv", "b.mov")
    assert not (out / LOCK_FILE).exists()


@pytest.mark.parametrize(
    ("file", "told"), [("a.mov", "was not made by this tool"), ("paths", "must be a folder and is a file")]
)
def test_what_stands_in_the_way_is_named_and_nothing_is_written(
    tmp_path: Path, listing: Listing, file: str, told: str
) -> None:
    (tmp_path / file).write_text("mine")
    before = listing(tmp_path)
    with pytest.raises(OptionError, match=told), our_folder(tmp_path, ["a.mov", "paths/a.csv"]):
        pass
    assert listing(tmp_path) == before


def test_a_link_in_a_folders_place_is_named_and_nothing_is_written_where_it_leads(
    tmp_path: Path, listing: Listing
) -> None:
    out, elsewhere = tmp_path / "out", tmp_path / "elsewhere"
    out.mkdir()
    elsewhere.mkdir()
    for name in ("paths", "retired", ".earlier"):
        (out / name).symlink_to(elsewhere)
        with (
            pytest.raises(OptionError, match=rf"'.*{name}' must be a folder and is a link"),
            our_folder(out, ["paths/a.csv"]),
        ):
            pass
        (out / name).unlink()
    assert listing(tmp_path) == {"elsewhere": "", "out": ""}


def test_a_link_to_nowhere_under_a_name_of_ours_is_a_strangers_file(tmp_path: Path) -> None:
    (tmp_path / "a.mov").symlink_to(tmp_path / "nowhere")
    with (
        pytest.raises(OptionError, match=r"a\.mov' is there and was not made by this tool"),
        our_folder(tmp_path, ["a.mov"]),
    ):
        pass
    assert [path.name for path in tmp_path.iterdir()] == ["a.mov"]


def test_what_a_killed_run_has_left_of_our_files_is_removed_and_nothing_of_others(tmp_path: Path) -> None:
    (tmp_path / "paths").mkdir()
    left = [".a.mov.0123abcd.part", "paths/.a.csv.0123abcd.part", f"{LOCK_FILE}.0123abcd"]
    others = [".b.mov.0123abcd.part", "paths/.b.csv.0123abcd.part"]
    for name in (*left, *others):
        (tmp_path / name).touch()
    with our_folder(tmp_path, ["a.mov", "paths/a.csv"]):
        pass
    found = {path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*") if path.is_file()}
    assert found == {"manifest.json", *others}


def test_a_disk_that_is_full_while_the_run_goes_on_is_told_with_what_to_do(tmp_path: Path) -> None:
    told = "can no longer be written to: No space left on device.*what is finished stands.*run again"
    with pytest.raises(BrokenOffError, match=told), our_folder(tmp_path, ["a.mov"]):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    assert not (tmp_path / LOCK_FILE).exists()


def test_an_error_of_the_run_itself_comes_through_as_it_is(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="a fault"), our_folder(tmp_path, ["a.mov"]):
        raise ValueError("a fault")
    assert not (tmp_path / LOCK_FILE).exists()
