"""A run killed at any moment leaves whole files only, and the next run ends as if nothing had happened."""

from __future__ import annotations

import os
import random
import shutil
import signal
import time
from collections.abc import Callable
from multiprocessing.context import ForkServerProcess
from pathlib import Path

import pytest

from kenburns.job import make

from .conftest import Start, faults

Listing = Callable[[Path], dict[str, str]]


def files(folder: Path) -> int:
    return sum(len(names) for _, _, names in os.walk(folder))


def kill_at_a_moment(run: ForkServerProcess, out: Path, chance: random.Random, lasts: float, all_files: int) -> None:
    """Kill a run at a moment of all its time, or, as often, at one when it is busy with its files."""
    until = time.monotonic() + chance.uniform(0, lasts)
    wanted = chance.randrange(1, all_files) if chance.random() < 0.5 else None
    while run.is_alive() and (files(out) < wanted if wanted else time.monotonic() < until):
        time.sleep(0.0005)
    time.sleep(chance.uniform(0, 0.01))
    run.kill()
    run.join()


@pytest.mark.xdist_group("endurance")
def test_a_run_killed_at_any_moment_leaves_whole_files_and_the_next_ends_as_if_undisturbed(
    film: Path, undisturbed: Path, out: Path, start: Start, chance: random.Random, listing: Listing, full: bool
) -> None:
    wanted, all_files = listing(undisturbed), files(undisturbed)
    began = time.monotonic()
    run = start(film, out)
    run.join()
    lasts = time.monotonic() - began
    assert (run.exitcode, listing(out)) == (0, wanted)
    killed = tries = 0
    while killed < (200 if full else 2):
        tries += 1
        shutil.rmtree(out, ignore_errors=True)
        run = start(film, out)
        kill_at_a_moment(run, out, chance, lasts, all_files)
        killed += run.exitcode == -signal.SIGKILL
        assert list(faults(out, undisturbed)) == []
        assert make(film, out=out).failed == ()
        assert listing(out) == wanted
    print(f"{killed} of {tries} runs of {lasts:.1f} s were killed before their end")
