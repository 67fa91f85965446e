"""One run at a time in an out folder."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import threading
from functools import partial
from pathlib import Path

import psutil
import pytest

from kenburns.deliver import lock
from kenburns.deliver.lock import LOCK_FILE, for_a_moment, only_run
from kenburns.errors import BrokenOffError, OptionError


def test_the_lock_is_there_while_the_run_lasts_and_then_gone(tmp_path: Path) -> None:
    with only_run(tmp_path):
        told = json.loads((tmp_path / LOCK_FILE).read_text())
        assert told["machine"].split()[0] == socket.gethostname()
        assert told["process"] == os.getpid()
    assert list(tmp_path.iterdir()) == []


def test_a_second_run_is_refused_and_told_who_is_at_work(tmp_path: Path) -> None:
    told = rf"another run is at work .*process {os.getpid()} on"
    with only_run(tmp_path), pytest.raises(OptionError, match=told), only_run(tmp_path):
        pass
    with only_run(tmp_path):
        assert (tmp_path / LOCK_FILE).exists()


def test_the_lock_of_a_run_that_was_killed_is_left_over(tmp_path: Path) -> None:
    code = (
        "import sys, time; from pathlib import Path; from kenburns.deliver.lock import only_run\n"
        "with only_run(Path(sys.argv[1])):\n    print('held', flush=True); time.sleep(60)\n"
    )
    run = subprocess.Popen([sys.executable, "-c", code, str(tmp_path)], stdout=subprocess.PIPE, text=True)
    assert run.stdout is not None
    assert run.stdout.readline() == "held\n"
    with pytest.raises(OptionError), only_run(tmp_path):
        pass
    run.kill()
    run.wait()
    run.stdout.close()
    assert (tmp_path / LOCK_FILE).exists()
    with only_run(tmp_path):
        assert json.loads((tmp_path / LOCK_FILE).read_text())["process"] == os.getpid()


@pytest.mark.parametrize(("age", "free"), [(10, False), (100, True)])
def test_another_machines_lock_is_left_over_once_nobody_touches_it(tmp_path: Path, age: float, free: bool) -> None:
    lock = tmp_path / LOCK_FILE
    lock.write_text(json.dumps({"machine": "another", "process": 1}))
    told = lock.stat().st_mtime - age
    os.utime(lock, (told, told))
    if free:
        with only_run(tmp_path):
            assert json.loads(lock.read_text())["process"] == os.getpid()
    else:
        with pytest.raises(OptionError, match="process 1 on another"), only_run(tmp_path):
            pass


def test_of_ten_starts_at_once_one_does_the_work(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from kenburns.deliver.lock import only_run\n"
        "from kenburns.errors import OptionError\n"
        "try:\n    with only_run(Path(sys.argv[1])):\n        print('did', flush=True); sys.stdin.read()\n"
        "except OptionError:\n    print('refused', flush=True)\n"
    )
    start = partial(subprocess.Popen, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    runs = [start([sys.executable, "-c", code, str(tmp_path)]) for _ in range(10)]
    said = sorted(words.readline().strip() for words in filter(None, (run.stdout for run in runs)))
    for run in runs:  # all have spoken: the one at work may end
        run.communicate()
    assert said == ["did"] + ["refused"] * 9
    assert list(tmp_path.iterdir()) == []


def lock_of(folder: Path, **changed: object) -> Path:
    """Leave a lock behind as this process would if it were killed, with some of what it tells changed."""
    with only_run(folder):
        told = json.loads((folder / LOCK_FILE).read_text())
    (folder / LOCK_FILE).write_text(json.dumps(told | changed))
    return folder / LOCK_FILE


def test_a_lock_whose_process_has_its_number_from_one_that_is_gone_is_left_over(tmp_path: Path) -> None:
    began = psutil.Process().create_time()
    lock_of(tmp_path, began=began - 3600)
    with only_run(tmp_path) as held:
        assert held.is_ours()
    lock_of(tmp_path, began=began)
    with pytest.raises(OptionError, match="another run is at work"), only_run(tmp_path):
        pass


def test_a_process_of_another_machine_with_this_ones_name_is_not_looked_for_here(tmp_path: Path) -> None:
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    lock = lock_of(tmp_path, process=gone.pid, machine=f"{socket.gethostname()} another-start")
    with pytest.raises(OptionError, match=f"process {gone.pid} on {socket.gethostname()}"), only_run(tmp_path):
        pass
    os.utime(lock, (1, 1))
    with only_run(tmp_path) as held:
        assert held.is_ours()


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b'{"machine": 5}', b"\xff"])
def test_a_lock_that_tells_nothing_is_left_over_after_a_minute(tmp_path: Path, content: bytes) -> None:
    lock = tmp_path / LOCK_FILE
    lock.write_bytes(content)
    with pytest.raises(OptionError, match="its name cannot be read"), only_run(tmp_path):
        pass
    os.utime(lock, (1, 1))
    with only_run(tmp_path) as held:
        assert held.is_ours()


def test_a_run_that_was_asleep_and_finds_its_lock_taken_is_told_and_leaves_the_other_alone(tmp_path: Path) -> None:
    other = json.dumps({"machine": "another", "process": 7}).encode()
    with only_run(tmp_path) as held:
        held.require()
        (tmp_path / LOCK_FILE).unlink()
        (tmp_path / LOCK_FILE).write_bytes(other)
        with pytest.raises(BrokenOffError, match=r"another run has taken .* over \(process 7 on another\)"):
            held.require()
    assert (tmp_path / LOCK_FILE).read_bytes() == other


def test_renewing_sets_the_locks_date_and_no_others(tmp_path: Path) -> None:
    with only_run(tmp_path) as held:
        os.utime(tmp_path / LOCK_FILE, (1, 1))
        held.renew()
        assert (tmp_path / LOCK_FILE).stat().st_mtime > 1
        (tmp_path / LOCK_FILE).write_bytes(b"another's")
        os.utime(tmp_path / LOCK_FILE, (1, 1))
        held.renew()
        assert (tmp_path / LOCK_FILE).stat().st_mtime == 1


def test_what_is_held_for_a_moment_is_waited_for(tmp_path: Path) -> None:
    path, order = tmp_path / "lock.json", []

    def second() -> None:
        with for_a_moment(path):
            order.append("second")

    with for_a_moment(path):
        waiting = threading.Thread(target=second)
        waiting.start()
        waiting.join(0.2)
        order.append("first")
    waiting.join()
    assert order == ["first", "second"]
    assert list(tmp_path.iterdir()) == []


def test_where_no_lock_can_be_made_nobody_is_waited_for(tmp_path: Path) -> None:
    with for_a_moment(tmp_path / "no folder" / "lock.json"):
        assert list(tmp_path.iterdir()) == []


def test_whoever_keeps_for_long_what_is_held_for_a_moment_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lock, "_MOMENTS", 0.05)
    path, told = tmp_path / "lock.json", f"is kept by process {os.getpid()} on"
    with for_a_moment(path), pytest.raises(OptionError, match=told), for_a_moment(path):
        pass
