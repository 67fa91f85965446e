"""What goes wrong in a process of its own stays there: each loss is told, and the next task is done."""

from __future__ import annotations

import math
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import numpy as np
import pytest

from kenburns.apart import MEMORY, Apart, LostError, TooLongError


@pytest.fixture(scope="module")
def apart() -> Iterator[Apart]:
    workers = Apart()
    yield workers
    workers.stop()


def test_a_task_is_done_elsewhere_and_its_answer_comes_back(apart: Apart) -> None:
    assert apart.call(60, math.gcd, 12, 18) == 6
    assert apart.call(60, os.getpid) != os.getpid()


def test_one_worker_does_one_task_after_another(apart: Apart) -> None:
    assert apart.call(60, os.getpid) == apart.call(60, os.getpid)


def test_what_a_task_raises_is_raised(apart: Apart) -> None:
    with pytest.raises(ZeroDivisionError):
        apart.call(60, divmod, 1, 0)


def test_a_crash_is_told_and_the_next_task_is_done(apart: Apart) -> None:
    with pytest.raises(LostError, match="crashed"):
        apart.call(60, os.abort)
    assert apart.call(60, math.gcd, 4, 6) == 2


def test_a_task_that_only_sleeps_is_ended(apart: Apart) -> None:
    with pytest.raises(TooLongError, match="longer than 0 s"):
        apart.call(0.02, time.sleep, 600)
    assert apart.call(60, math.gcd, 4, 6) == 2


@pytest.mark.skipif(sys.platform == "win32", reason="it does not count a process's work")
def test_a_task_that_works_too_long_is_ended(apart: Apart) -> None:
    with pytest.raises(TooLongError, match="longer than 1 s"):
        apart.call(1, sum, range(10**12))
    assert apart.call(60, math.gcd, 4, 6) == 2


@pytest.mark.skipif(sys.platform != "linux", reason="other systems do not limit a process's data")
def test_memory_beyond_the_limit_is_refused(apart: Apart) -> None:
    with pytest.raises(MemoryError):
        apart.call(60, np.ones, MEMORY // 8 + 1)


def test_what_cannot_be_sent_back_is_an_error_and_no_hang(apart: Apart) -> None:
    with pytest.raises(TypeError, match="cannot be answered"):
        apart.call(60, threading.Lock)


def test_what_a_task_prints_does_not_get_among_the_answers(apart: Apart) -> None:
    assert apart.call(60, os.write, 1, b"printed by a task in test_apart\n") == 32
    assert apart.call(60, math.gcd, 4, 6) == 2


def test_callers_at_once_get_their_own_answers(apart: Apart) -> None:
    with ThreadPoolExecutor(4) as pool:
        assert list(pool.map(lambda n: apart.call(60, math.factorial, n), range(40))) == [
            math.factorial(n) for n in range(40)
        ]


def test_stopping_ends_a_task_under_way(apart: Apart) -> None:
    apart.call(60, os.getpid)
    with ThreadPoolExecutor(1) as pool:
        waiting = pool.submit(apart.call, 600, time.sleep, 600)
        while not apart.busy:
            time.sleep(0.01)
        apart.stop()
        with pytest.raises(LostError):
            waiting.result()


def test_a_worker_whose_run_is_killed_ends_without_a_word() -> None:
    asking = (
        "import os, threading, time; from kenburns.apart import Apart; workers = Apart(); workers.call(60, os.getpid)\n"
        "threading.Timer(0.2, lambda: os.kill(os.getpid(), 9)).start(); workers.call(60, time.sleep, 0.4)"
    )
    # Standard error is the worker's too: it is not at its end before the worker is.
    run = subprocess.run([sys.executable, "-c", asking], capture_output=True, text=True, timeout=60, check=False)
    assert (run.returncode, run.stderr) == (-signal.SIGKILL, "")


def test_the_first_call_is_made_before_the_first_task_and_not_on_its_time() -> None:
    workers = Apart(partial(time.sleep, 1.5))
    assert workers.call(1.0, math.gcd, 4, 6) == 2
    workers.stop()
