"""An out folder for one run: strangers' files refused, our names written down before anything is made."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from kenburns.deliver.lock import LOCK_FILE
from kenburns.deliver.manifest import read_manifest
from kenburns.deliver.ours import our_folder
from kenburns.errors import OptionError

Listing = Callable[[Path], dict[str, str]]


def test_names_are_ours_on_disk_while_the_folder_is_held_and_after(tmp_path: Path) -> None:
    out = tmp_path / "deep" / "out"
    with our_folder(out, ["a.mov", "paths/a.csv"]) as manifest:
        assert (out / LOCK_FILE).is_file()
        assert read_manifest(out) == manifest
        assert manifest.owned == ("a.mov", "paths/a.csv")
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


def test_an_error_of_the_run_itself_comes_through_as_it_is(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="no room"), our_folder(tmp_path, ["a.mov"]):
        raise OSError("no room")
    assert not (tmp_path / LOCK_FILE).exists()
