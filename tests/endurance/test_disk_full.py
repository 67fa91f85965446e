"""A disk that is full at any point ends a run in a sentence and harms nothing; with room again, the next goes on."""

from __future__ import annotations

import random
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from .conftest import Start, faults

Listing = Callable[[Path], dict[str, str]]


def point(chance: random.Random, wanted: Path) -> int:
    """Return so many bytes that the clips do or do not fit, or, as often, that the sheets do or do not."""
    sizes = {path.name: path.stat().st_size for path in wanted.rglob("*") if path.is_file()}
    sheets = sizes["sheet.html"] + sizes["sheet.png"]
    clips = sum(sizes.values()) - sheets
    return chance.randrange(1_000, clips) if chance.random() < 0.5 else clips + chance.randrange(sheets)


@contextmanager
def small_disk(place: Path, size: int) -> Iterator[None]:
    """Mount a disk in memory of so many bytes at a new folder; skip where that is not permitted."""
    place.mkdir()
    options = ["mount", "-t", "tmpfs", "-o", f"size={size}", "none", str(place)]
    if shutil.which("mount") is None or subprocess.run(options, capture_output=True, check=False).returncode:
        pytest.skip("no disk can be mounted here; the size limit of files is tested all the same")
    try:
        yield
    finally:
        subprocess.run(["umount", str(place)], check=True)


def told_well(status: int | None, told: str) -> bool:
    """Whether a run that could not be completed said so, and why."""
    return status in {1, 3} and ("No space left on device" in told or "File too large" in told)


@pytest.mark.xdist_group("endurance")
def test_a_full_disk_is_told_harms_nothing_and_with_room_the_run_goes_on(
    film: Path, undisturbed: Path, tmp_path: Path, start: Start, chance: random.Random, listing: Listing, full: bool
) -> None:
    wanted, ended = listing(undisturbed), {0: 0, 1: 0, 3: 0}
    for number in range(20 if full else 2):
        place, told = tmp_path / f"disk-{number}", tmp_path / f"told-{number}"
        with small_disk(place, point(chance, undisturbed)):
            run = start(film, place / "out", told)
            run.join()
            ended[run.exitcode or 0] += 1
            assert run.exitcode == 0 or told_well(run.exitcode, told.read_text()), told.read_text()
            assert list(faults(place / "out", undisturbed)) == []
            subprocess.run(["mount", "-o", "remount,size=64m", str(place)], check=True)
            again = start(film, place / "out", told)
            again.join()
            assert (again.exitcode, listing(place / "out")) == (0, wanted), told.read_text()
    print(f"ended by exit status: {ended}")


@pytest.mark.xdist_group("endurance")
def test_a_limit_for_the_size_of_files_is_told_harms_nothing_and_without_it_the_run_goes_on(
    film: Path,
    undisturbed: Path,
    out: Path,
    tmp_path: Path,
    start: Start,
    chance: random.Random,
    listing: Listing,
    full: bool,
) -> None:
    wanted, told = listing(undisturbed), tmp_path / "told"
    sizes = sorted(path.stat().st_size for path in undisturbed.rglob("*") if path.is_file())
    for _ in range(20 if full else 1):
        shutil.rmtree(out, ignore_errors=True)
        run = start(film, out, told, chance.choice(sizes) - 1)  # at least one file cannot be written
        run.join()
        assert told_well(run.exitcode, told.read_text()), told.read_text()
        assert not out.exists() or list(faults(out, undisturbed)) == []
        again = start(film, out, told)
        again.join()
        assert (again.exitcode, listing(out)) == (0, wanted), told.read_text()
