"""One run at a time in an out folder."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from kenburns.deliver.lock import LOCK_FILE, only_run
from kenburns.errors import OptionError


def test_the_lock_is_there_while_the_run_lasts_and_then_gone(tmp_path: Path) -> None:
    with only_run(tmp_path):
        told = json.loads((tmp_path / LOCK_FILE).read_text())
        assert told == {"machine": socket.gethostname(), "process": os.getpid()}
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
            assert json.loads(lock.read_text())["machine"] == socket.gethostname()
    else:
        with pytest.raises(OptionError, match="process 1 on another"), only_run(tmp_path):
            pass


def test_of_ten_starts_at_once_one_does_the_work(tmp_path: Path) -> None:
    code = (
        "import sys, time; from pathlib import Path; from kenburns.deliver.lock import only_run\n"
        "from kenburns.errors import OptionError\n"
        "try:\n    with only_run(Path(sys.argv[1])):\n        print('did', flush=True); time.sleep(5)\n"
        "except OptionError:\n    print('refused', flush=True)\n"
    )
    runs = [
        subprocess.Popen([sys.executable, "-c", code, str(tmp_path)], stdout=subprocess.PIPE, text=True)
        for _ in range(10)
    ]
    said = sorted(run.communicate()[0].strip() for run in runs)
    assert said.count("refused") >= 1
    assert said.count("did") + said.count("refused") == 10
    assert list(tmp_path.iterdir()) == []
