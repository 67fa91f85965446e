"""Files appear whole or not at all."""

from __future__ import annotations

import ast
import os
import re
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import kenburns
from kenburns.files import (
    EARLIER,
    keep_earlier,
    move_all,
    remove_parts,
    whole_file,
    write_keeping_earlier,
    write_new,
    write_whole,
)

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


def test_a_part_left_by_a_run_cut_short_does_not_stand_in_the_way_and_can_be_removed(tmp_path: Path) -> None:
    file = tmp_path / "01.mov"
    with whole_file(file) as part:
        left = part
        part.write_bytes(b"whole")
    left.write_bytes(b"half, from a run that was killed")
    write_whole(file, b"new")
    assert file.read_bytes() == b"new"
    remove_parts(tmp_path, {"01.mov"})
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


def test_versions_are_kept_only_so_far_apart_as_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "film.toml"
    for number in range(4):
        path.write_text(str(number))
        keep_earlier(path, apart=3600)
    kept = tmp_path / EARLIER / "film.1.toml"
    assert kept.read_text() == "0"
    os.utime(kept, (1, 1))
    keep_earlier(path, apart=3600)
    assert [(tmp_path / EARLIER / f"film.{number}.toml").read_text() for number in (1, 2)] == ["3", "0"]


def test_a_new_file_never_takes_the_place_of_anything(tmp_path: Path) -> None:
    file, link = tmp_path / "cutlist.csv", tmp_path / "works.csv"
    write_new(file, b"mine")
    link.symlink_to(tmp_path / "nowhere")
    for path in (file, link):
        with pytest.raises(FileExistsError):
            write_new(path, b"new")
    assert file.read_bytes() == b"mine"
    assert {path.name for path in tmp_path.iterdir()} == {"cutlist.csv", "works.csv"}
    assert not (tmp_path / "nowhere").exists()


def test_files_moved_take_the_place_of_others_in_folders_that_are_made(tmp_path: Path) -> None:
    for name in ("01.mov", "02.mov"):
        (tmp_path / name).write_text(name)
    retired = tmp_path / "retired" / "01.mov"
    moves = [(tmp_path / "01.mov", retired), (tmp_path / "02.mov", tmp_path / "01.mov"), (tmp_path / "3", retired)]
    move_all(moves)
    assert {path: path.read_text() for path in tmp_path.rglob("*.*")} == {
        tmp_path / "01.mov": "02.mov",
        retired: "01.mov",
    }


def test_only_parts_of_the_files_named_are_removed(tmp_path: Path) -> None:
    mine, strange = ".01.mov.0123abcd.part", (".02.mov.0123abcd.part", ".01.mov.part", "01.mov.0123abcd.part", "01.mov")
    for name in (mine, *strange):
        (tmp_path / name).touch()
    remove_parts(tmp_path, {"01.mov"})
    assert {path.name for path in tmp_path.iterdir()} == set(strange)
    remove_parts(tmp_path / "not there", {"01.mov"})


def test_of_writers_at_once_each_writes_a_part_of_its_own_and_a_whole_file_stays(tmp_path: Path) -> None:
    file = tmp_path / "film.toml"
    with whole_file(file) as first, whole_file(file) as second:
        first.write_bytes(b"first " * 1000)
        second.write_bytes(b"second")
    assert first != second
    assert file.read_bytes() == b"first " * 1000  # the one that ended last
    assert [path.name for path in tmp_path.iterdir()] == ["film.toml"]


def test_the_longest_name_of_a_slots_file_leaves_room_for_its_part(tmp_path: Path) -> None:
    name = "x" * 120 + ".mov"  # the longest that cutlist/ids.py allows
    with whole_file(tmp_path / name) as part:
        part.write_bytes(b"frames")
        assert len(os.fsencode(part.name)) <= 255  # NAME_MAX of Linux's file systems
    assert (tmp_path / name).read_bytes() == b"frames"


PACKAGE = Path(kenburns.__file__).parent

# What writes, and is no call inside a block of `whole_file` or `whole_new_file`: each with its reason.
WRITES_PAST = {
    "files.py": "it is the one that writes",
    "render/encode.py": "is given the part of a whole file to write to",
    "deliver/reel_file.py": "is given the part of a whole file to write to",
    "deliver/lock.py": "the lock is no file that anybody keeps, and its date is its heartbeat",
    "deliver/captions.py": "a picture is coded in memory",
    "deliver/sheet_page.py": "a picture is coded in memory",
    "demo_film.py": "a folder of photographs that have been painted beside is renamed",
    "run_log.py": "a log is added to, line by line",
    "desk/uploads.py": "what arrives lies in a temporary folder",
    "desk/bring.py": "takes what has arrived out of that folder, by a link of the whole file",
    "desk/app.py": "removes that folder",
}
WRITING = {
    *("write_text", "write_bytes", "save", "imwrite", "touch", "rename", "link", "symlink", "symlink_to", "link_to"),
    *("hardlink_to", "truncate", "tofile", "copy", "copy2", "copyfile", "copyfileobj", "move", "rmtree", "mkstemp"),
}


def writes(call: ast.Call) -> bool:
    """Whether a call writes to the disk, by its name and its arguments."""
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    constants = [arg.value for arg in call.args if isinstance(arg, ast.Constant) and isinstance(arg.value, str)]
    if name == "open":
        return any(re.fullmatch(r"[rb]?[wxa+][bt+]*|r[bt]*\+[bt]*", mode) for mode in constants)
    if name == "replace":  # of a path; that of a text has two arguments, that of a record named ones
        return len(call.args) == 1 and not call.keywords
    held = call.func.value.id if isinstance(call.func, ast.Attribute) and isinstance(call.func.value, ast.Name) else ""
    if name in {"copy", "move"}:
        return held == "shutil"
    return name in WRITING and not (name == "save" and len(call.args) and "records" in ast.dump(call.func))


def past_whole_files(node: ast.AST) -> Iterator[ast.Call]:
    """Yield the calls that write, outside of blocks that make a file whole."""
    if isinstance(node, ast.With) and any("whole" in ast.dump(item.context_expr) for item in node.items):
        return
    if isinstance(node, ast.Call) and writes(node):
        yield node
    for child in ast.iter_child_nodes(node):
        yield from past_whole_files(child)


def test_nothing_is_written_past_whole_files() -> None:
    found = {
        path.relative_to(PACKAGE).as_posix(): [
            ast.unparse(call) for call in past_whole_files(ast.parse(path.read_text()))
        ]
        for path in sorted(PACKAGE.rglob("*.py"))
    }
    assert {name: calls for name, calls in found.items() if calls and name not in WRITES_PAST} == {}
    assert {name for name in WRITES_PAST if not found[name]} == set()  # an exception that nobody needs is taken out


@pytest.mark.parametrize(
    "line", ["path.write_bytes(b'')", "path.open('wb')", "open(path, 'x')", "os.replace(a)", "path.replace(other)"]
)
def test_the_check_sees_what_writes(line: str) -> None:
    assert [ast.unparse(call) for call in past_whole_files(ast.parse(line))] == [ast.unparse(ast.parse(line))]
    assert list(past_whole_files(ast.parse(f"with whole_file(path) as part:\n    {line}"))) == []
