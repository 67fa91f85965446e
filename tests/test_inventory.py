"""Files that stand as they stood: whatever changes in a folder shows, and what does not concern us does not."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.inventory import Inventory, files_below
from kenburns.stills import stamp

NAMES = ("a.jpg", "b.jpg", "deep/c.jpg", "deep/er/d.jpg")

Change = Callable[[Path, Path], object]


def laid_out(folder: Path) -> Path:
    for name in NAMES:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(name.encode())
    return folder


def stands(inventory: Inventory, folder: Path) -> bool:
    return inventory.stands(files_below(folder))


def rewritten(path: Path, _other: Path) -> None:
    """Change one byte; size and date of change stay as they were."""
    when = path.stat()
    path.write_bytes(b"X" + path.read_bytes()[1:])
    os.utime(path, ns=(when.st_atime_ns, when.st_mtime_ns))


def replaced(path: Path, _other: Path) -> None:
    """Put another file in its place, of the same size and date."""
    new, when = path.with_name("new"), path.stat()
    new.write_bytes(b"X" * when.st_size)
    os.utime(new, ns=(when.st_atime_ns, when.st_mtime_ns))
    new.replace(path)


def linked(path: Path, _other: Path) -> None:
    """Put a link to nowhere in its place."""
    path.unlink()
    path.symlink_to("nowhere")


CHANGES: tuple[Change, ...] = (
    rewritten,
    replaced,
    lambda path, other: path.replace(other) if path != other else path.unlink(),
    lambda path, _: path.unlink(),
    lambda path, _: path.with_name("new.jpg").touch(),
    lambda path, _: os.utime(path, (1, 1)),
    lambda path, _: path.chmod(0o400),
    linked,
    lambda path, _: shutil.rmtree(path.parent),
)


@pytest.mark.parametrize("at_rest", [True, False])
@settings(max_examples=40)
@given(change=st.sampled_from(CHANGES), one=st.sampled_from(NAMES), other=st.sampled_from(NAMES))
def test_whatever_happens_to_a_file_shows(
    tmp_path_factory: pytest.TempPathFactory, at_rest: bool, change: Change, one: str, other: str
) -> None:
    folder = laid_out(tmp_path_factory.mktemp("folder"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(stamp, "_SETTLED", -1.0 if at_rest else 1e9)
        inventory = Inventory.of(files_below(folder))
    assert len(inventory.contents) == (0 if at_rest else len(NAMES))
    assert stands(inventory, folder)
    time.sleep(0.02 if at_rest else 0)  # some ticks of the clock by which the system stamps files
    change(folder / one, folder / other)
    assert not stands(inventory, folder)


def test_a_change_within_one_tick_of_the_clock_shows_by_its_content(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = laid_out(tmp_path)
    # As on a disk that counts time in steps of two seconds, as FAT does (Microsoft FAT specification 1.03).
    frozen = stamp.Stamp(5, 2_000_000_000, 2_000_000_000, 7)
    monkeypatch.setattr("kenburns.inventory.stamp", lambda _path: frozen)
    monkeypatch.setattr("kenburns.stills.stamp.time.time", lambda: 3.0)
    inventory = Inventory.of(files_below(folder))
    assert stands(inventory, folder)
    (folder / "a.jpg").write_bytes(b"b.jpg")
    assert not stands(inventory, folder)


def test_hidden_files_and_what_is_left_out_do_not_count(tmp_path: Path) -> None:
    folder = laid_out(tmp_path / "film")
    elsewhere = laid_out(tmp_path / "elsewhere")
    (folder / "out").mkdir()
    (folder / "link").symlink_to(elsewhere)
    inventory = Inventory.of(files_below(folder, [folder / "out"]))
    assert set(inventory.stamps) == {str(folder / name) for name in NAMES}
    for name in (".hidden", ".deep/e.jpg", "out/f.jpg", "link/g.jpg"):
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).touch()
        assert inventory.stands(files_below(folder, [folder / "out"]))


def test_a_file_that_comes_where_none_was_shows(tmp_path: Path) -> None:
    path = tmp_path / "works.csv"
    inventory = Inventory.of([path])
    assert inventory.stands([path])
    path.touch()
    assert not inventory.stands([path])


def test_nothing_is_told_of_what_can_hold_no_content(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(OSError, match="pipe' is no file"):
        Inventory.of([tmp_path / "pipe"])
