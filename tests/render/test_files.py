"""Files appear whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.render.files import EARLIER, whole_file, write_keeping_earlier, write_whole

errors = st.sampled_from([ValueError, OSError, MemoryError, KeyboardInterrupt, SystemExit, GeneratorExit])


def test_what_is_written_is_there_when_the_block_ends_and_not_before(tmp_path: Path) -> None:
    file = tmp_path / "01.mov"
    with whole_file(file) as part:
        part.write_bytes(b"frames")
        assert not file.exists()
        assert part.parent == tmp_path  # the same disk, so that it takes its place in one step
    assert file.read_bytes() == b"frames"
    assert list(tmp_path.iterdir()) == [file]


def write_and_fail(file: Path, content: bytes, error: BaseException) -> None:
    with whole_file(file) as part, part.open("wb") as writing:
        writing.write(content)
        raise error


@settings(max_examples=40)
@given(st.none() | st.binary(max_size=40), st.binary(max_size=40), st.integers(0, 40), errors)
def test_an_error_at_any_point_leaves_the_old_file_and_nothing_else(
    old: bytes | None, new: bytes, point: int, error: type[BaseException]
) -> None:
    with TemporaryDirectory() as folder:
        file = Path(folder) / "01.mov"
        if old is not None:
            file.write_bytes(old)
        with pytest.raises(error):
            write_and_fail(file, new[:point], error())
        assert [path.read_bytes() for path in Path(folder).iterdir()] == ([] if old is None else [old])


@settings(max_examples=40)
@given(st.none() | st.binary(max_size=40), st.binary(max_size=40))
def test_content_written_whole_reads_back(old: bytes | None, new: bytes) -> None:
    with TemporaryDirectory() as folder:
        file = Path(folder) / "plan.json"
        if old is not None:
            file.write_bytes(old)
        write_whole(file, new)
        assert [path.read_bytes() for path in Path(folder).iterdir()] == [new]


def test_a_file_that_holds_the_same_already_is_not_written_again(tmp_path: Path) -> None:
    file = tmp_path / "plan.json"
    write_whole(file, b"same")
    os.utime(file, (1, 1))
    write_whole(file, b"same")
    assert file.stat().st_mtime == 1
    write_whole(file, b"other")
    assert file.stat().st_mtime > 1


def test_a_part_left_by_a_run_cut_short_does_not_stand_in_the_way(tmp_path: Path) -> None:
    file = tmp_path / "01.mov"
    with whole_file(file) as part:
        left = part
        part.write_bytes(b"whole")
    left.write_bytes(b"half, from a run that was killed")
    write_whole(file, b"new")
    assert [path.read_bytes() for path in tmp_path.iterdir()] == [b"new"]


def test_a_folder_in_the_files_place_is_an_error_and_leaves_nothing_behind(tmp_path: Path) -> None:
    (tmp_path / "01.mov").mkdir()
    with pytest.raises(OSError, match=r"01\.mov"):
        write_whole(tmp_path / "01.mov", b"new")
    assert [path.name for path in tmp_path.iterdir()] == ["01.mov"]


def test_the_last_five_versions_of_a_file_are_kept_newest_first(tmp_path: Path) -> None:
    path = tmp_path / "plan.json"
    for number in range(8):
        write_keeping_earlier(path, str(number).encode())
        write_keeping_earlier(path, str(number).encode())  # nothing changes, nothing is kept
    assert path.read_text() == "7"
    kept = {file.name: file.read_text() for file in (tmp_path / EARLIER).iterdir()}
    assert kept == {f"plan.{number}.json": str(7 - number) for number in range(1, 6)}
