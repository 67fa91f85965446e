"""Runs started at once in one out folder: one at a time does the work, the others refuse, and nothing is made twice."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from .conftest import Start

Listing = Callable[[Path], dict[str, str]]


@pytest.mark.xdist_group("endurance")
def test_of_runs_started_at_once_each_slot_is_made_by_one_and_others_refuse(
    film: Path, undisturbed: Path, out: Path, tmp_path: Path, start: Start, listing: Listing, slots: int, full: bool
) -> None:
    wanted, refused = listing(undisturbed), 0
    for starts in [2, *[10] * 10] if full else [3]:
        shutil.rmtree(out, ignore_errors=True)
        runs = [(start(film, out, tmp_path / f"told-{n}"), tmp_path / f"told-{n}") for n in range(starts)]
        for run, _ in runs:
            run.join()
        done = [told.read_text() for run, told in runs if run.exitcode == 0]
        others = [told.read_text() for run, told in runs if run.exitcode != 0]
        assert all("another run is at work in" in words and "wait for it" in words for words in others), others
        assert sum(int(words.split()[0]) for words in done) == slots
        assert listing(out) == wanted
        refused += len(others)
    print(f"{refused} runs refused")
