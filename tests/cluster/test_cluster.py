"""A scheduler and two workers on this machine, as the README starts them: what a run on them leaves in the out folder.

What a run on this machine alone leaves is the reference.
"""

from __future__ import annotations

import json
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest

from kenburns.cluster.makers import cluster as cluster_at
from kenburns.cluster.worker import Run, differences, lock_of, made_here, unseen
from kenburns.deliver.lock import LOCK_FILE, only_run
from kenburns.deliver.manifest import versions
from kenburns.errors import OptionError
from kenburns.job import make
from kenburns.last_answer import ANSWER_FILE
from kenburns.plan.document import Plan
from kenburns.records import RECORDS_FILE

pytestmark = pytest.mark.xdist_group("cluster")

Photo = Callable[..., Path]
Listing = Callable[[Path], dict[str, str]]

Process = subprocess.Popen[Any]

PATIENCE = 120.0  # seconds


@dataclass(frozen=True)
class Cluster:
    """A scheduler, its address, and its workers."""

    address: str
    scheduler: Process
    workers: list[Process]


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory, photograph: Photo) -> Path:
    """Return a film of five clips on four photographs, and a card; each clip takes a good part of a second."""
    film = tmp_path_factory.mktemp("plain") / "film"
    for number in range(4):
        photograph(film / "photographs" / f"{number}.png", 400, 300, number)
    (film / "film.toml").write_text('[film]\nframe = "320x180"\ncodec = "review"\n')
    rows = "".join(f"{n},{200 * n},120,{n},{n % 4}.png\n" for n in range(5))
    (film / "cutlist.csv").write_text(f"slot,start,length,wanted,still\n{rows}5,9000,9,the quay,\n")
    return film


@pytest.fixture(scope="module")
def made_alone(film: Path, tmp_path_factory: pytest.TempPathFactory, listing: Listing) -> dict[str, str]:
    """Return what a run on this machine leaves."""
    alone = shutil.copytree(film, tmp_path_factory.mktemp("alone") / "film")
    assert make(alone).failed == ()
    return kept(listing(alone / "out"))


def kept(files: dict[str, str]) -> dict[str, str]:
    """Leave out what knows the photographs' dates on the disk, which two copies of a film do not share."""
    return {name: content for name, content in files.items() if name not in {RECORDS_FILE, ANSWER_FILE}}


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Cluster]:
    """Start a scheduler and two workers."""
    folder = tmp_path_factory.mktemp("cluster")
    told = folder / "scheduler.json"
    scheduler = start("dask_scheduler", "--host", "127.0.0.1", "--port", "0", "--scheduler-file", str(told))
    words = ("--scheduler-file", str(told), "--nthreads", "1", "--no-nanny", "--local-directory", str(folder))
    workers: list[Process] = []
    try:
        wait_for(told.exists)
        workers += [start("dask_worker", *words) for _ in range(2)]
        address = json.loads(told.read_text())["address"]
        _wait_for_workers(address)
        yield Cluster(address, scheduler, workers)
    finally:
        end([*workers, scheduler])


def start(what: str, *words: str) -> Process:
    command = [sys.executable, "-m", f"distributed.cli.{what}", "--no-dashboard", *words]
    return subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def end(processes: list[Process]) -> None:
    for process in processes:
        process.kill()
    for process in processes:
        process.wait()


def wait_for(come: Callable[[], bool]) -> None:
    until = time.monotonic() + PATIENCE
    while not come():
        assert time.monotonic() < until
        time.sleep(0.02)


def _wait_for_workers(address: str) -> None:
    code = (
        "import sys; from distributed import Client\n"
        "with Client(sys.argv[1], timeout=60) as client: client.wait_for_workers(2, timeout=60)"
    )
    subprocess.run([sys.executable, "-c", code, address], check=True, timeout=PATIENCE)


@dataclass(frozen=True)
class Making:
    """A run on the cluster: its process, what it logs, and the film's folder."""

    process: Process
    log: Path
    film: Path

    @property
    def out(self) -> Path:
        return self.film / "out"

    def slots(self, event: str) -> list[str]:
        """Return the slots of all events of a kind so far."""
        lines = self.log.read_text().splitlines() if self.log.exists() else []
        return [told["slot"] for told in map(json.loads, lines) if told["event"] == event]


@pytest.fixture
def making(film: Path, cluster: Cluster, tmp_path: Path) -> Making:
    """Start a run of the film on the cluster."""
    shared, log = shutil.copytree(film, tmp_path / "film"), tmp_path / "log.jsonl"
    words = ["make", str(shared), "--cluster", cluster.address, "--log", str(log)]
    # A shell has what it runs in the background ignore interrupts, and so has that what it starts (POSIX, 2.11).
    heeding = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)"
    code = f"{heeding}; from kenburns.cli import main; main()"
    command = [sys.executable, "-c", code, *words]
    return Making(subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True), log, shared)


def test_a_worker_killed_in_the_middle_changes_not_one_byte(
    making: Making, made_alone: dict[str, str], cluster: Cluster, listing: Listing
) -> None:
    wait_for(lambda: len(making.slots("slot begins")) >= 2)  # one on each worker
    cluster.workers[0].kill()
    done = making.slots("slot made")
    out, err = making.process.communicate(timeout=PATIENCE)
    assert len(done) < 5
    assert making.process.returncode == 1, err  # the card needs attention
    assert "5 clips and 1 card" in out
    assert "6 made now" in out
    assert {"0", "1", "2", "3", "4", "5"} == set(making.slots("slot made"))
    assert kept(listing(making.out)) == made_alone


def test_an_interrupted_run_is_left_by_its_workers_and_the_next_goes_on(
    making: Making, made_alone: dict[str, str], cluster: Cluster, listing: Listing
) -> None:
    wait_for(lambda: len(making.slots("slot begins")) >= 1)
    with stopped(cluster.workers):  # so that the run cannot be through before the interrupt reaches it
        making.process.send_signal(signal.SIGINT)
        making.process.communicate(timeout=PATIENCE)
    assert making.process.returncode == 130
    assert not (making.out / LOCK_FILE).exists()
    wait_for(lambda: not list(making.out.glob(".*.part")))
    assert len(list(making.out.glob("*.mp4"))) < 6
    assert make(making.film).failed == ()
    assert kept(listing(making.out)) == made_alone


@contextmanager
def stopped(processes: Sequence[Process]) -> Iterator[None]:
    """Hold those of the processes still that run."""
    alive = [process for process in processes if process.poll() is None]
    for process in alive:
        process.send_signal(signal.SIGSTOP)
    try:
        yield
    finally:
        for process in alive:
            process.send_signal(signal.SIGCONT)


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nonsense://x"])
def test_an_address_where_no_scheduler_answers_is_refused(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kenburns.cluster.makers._ANSWERS", 0.3)
    refused = pytest.raises(OptionError, match=f"--cluster: no scheduler answers at '{address}'")
    with refused, cluster_at(address):
        pass


@pytest.fixture
def held(tmp_path: Path) -> Iterator[Run]:
    """Give a run that holds an out folder."""
    with only_run(tmp_path):
        yield Run(tmp_path, lock_of(tmp_path), versions(), "news")


def test_a_worker_that_does_not_see_the_lock_or_a_photograph_says_which(held: Run, tmp_path: Path) -> None:
    (tmp_path / "sea.png").write_bytes(b"12345")
    assert unseen(held, [(tmp_path / "sea.png", 5)]) == ""
    assert unseen(held, [(tmp_path / "sea.png", 6)]) == str(tmp_path / "sea.png")
    assert unseen(held, [(tmp_path / "hill.png", 5)]) == str(tmp_path / "hill.png")
    assert unseen(replace(held, lock=b"another run's"), []) == str(tmp_path)


def test_a_worker_with_another_version_says_which(held: Run, small_plan: Plan) -> None:
    assert differences(held.versions) == ""
    assert differences({**held.versions, "numpy": "0.1"}) == f"numpy {versions()['numpy']} (not 0.1)"
    assert differences({**held.versions, "brushes": "1"}) == "brushes missing (not 1)"
    newer = replace(held, versions={**held.versions, "numpy": "0.1"})
    made = made_here(small_plan.slots, {}, newer)
    assert [one.slot for one in made] == list(small_plan.slots)
    assert {one.error for one in made} == {f"a worker that has joined since has numpy {versions()['numpy']} (not 0.1)"}


def test_a_scheduler_that_dies_ends_the_run_in_a_sentence_and_the_next_goes_on_without(
    making: Making, made_alone: dict[str, str], cluster: Cluster, listing: Listing
) -> None:
    wait_for(lambda: len(making.slots("slot begins")) >= 1)
    with stopped(cluster.workers):
        cluster.scheduler.kill()
        out, err = making.process.communicate(timeout=PATIENCE)
    assert making.process.returncode == 1, err
    assert "Traceback" not in err, err
    assert f"the scheduler at '{cluster.address}' no longer answers; run again when it does" in " ".join(out.split())
    assert make(making.film).failed == ()
    assert kept(listing(making.out)) == made_alone
