"""What the long runs share: short in the README's test line, in full with --full; a small film; runs that can be ended.

Whoever runs them in full waits hours: see DEVELOPERS.md.
"""

from __future__ import annotations

import json
import multiprocessing
import random
import resource
import shutil
import time
from collections.abc import Callable, Iterator
from multiprocessing.context import ForkServerContext, ForkServerProcess
from pathlib import Path
from typing import Protocol

import av
import pytest

from kenburns.errors import KenburnsError
from kenburns.job import make

FRAMES = 6


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.endurance)


@pytest.fixture(scope="session")
def full(request: pytest.FixtureRequest) -> bool:
    """Whether the long form is wanted."""
    return bool(request.config.getoption("--full"))


@pytest.fixture
def chance(request: pytest.FixtureRequest) -> random.Random:
    """Return random moments, other ones each time, and say from which seed they can be had again."""
    seed = int(request.config.getoption("--seed") or time.time_ns() % 1_000_000)
    print(f"--seed {seed}")
    return random.Random(seed)


@pytest.fixture(scope="session")
def slots(full: bool) -> int:
    """Return how many slots the film has."""
    return 30 if full else 12


@pytest.fixture(scope="session")
def film(tmp_path_factory: pytest.TempPathFactory, photograph: Callable[..., Path], slots: int) -> Path:
    """Return a film on three small photographs, every tenth slot a card; it takes a second or two to make.

    Its photographs have come to rest: what is known of them is remembered from the first run on.
    """
    folder = tmp_path_factory.mktemp("endurance") / "film"
    names = [photograph(folder / "photographs" / f"{n}.png", 200 + n, 150, n).name for n in range(3)]
    rows = (f"{n:02d},{20 * n},{FRAMES},work {n},{names[n % 3] if n % 10 else ''}" for n in range(slots))
    (folder / "cutlist.csv").write_text("\n".join(["slot,start,length,wanted,still", *rows]) + "\n")
    (folder / "film.toml").write_text('[film]\nframe = "96x64"\ncodec = "review"\n')
    time.sleep(2.1)  # stills/stamp.py
    return folder


@pytest.fixture(scope="session")
def undisturbed(film: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the out folder of a run that nobody disturbed."""
    out = tmp_path_factory.mktemp("undisturbed") / "out"
    assert make(film, out=out).failed == ()
    return out


class Start(Protocol):
    """Start a run in a process of its own, which has all modules loaded and nothing else.

    Its exit status: 0 done, 1 some slots failed, 3 refused or broken off; what it told goes into the file `told`, and
    no file that it writes may be larger than `largest` bytes.
    """

    def __call__(
        self, film: Path, out: Path, told: Path | None = None, largest: int | None = None
    ) -> ForkServerProcess: ...


@pytest.fixture(scope="session")
def start() -> Start:
    context: ForkServerContext = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["kenburns.job"])

    def start_it(film: Path, out: Path, told: Path | None = None, largest: int | None = None) -> ForkServerProcess:
        process = context.Process(target=run, args=(film, out, told, largest))
        process.start()
        return process

    return start_it


def run(film: Path, out: Path, told: Path | None, largest: int | None) -> None:
    """Make a film."""
    if largest is not None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (largest, resource.RLIM_INFINITY))
    try:
        outcome = make(film, out=out)
        status, words = 1 if outcome.failed else 0, [*outcome.failed, f"{len(outcome.rendered)} made"]
    except KenburnsError as error:
        status, words = 3, [f"{type(error).__name__}: {error}"]
    if told is not None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
        told.write_text("\n".join(words))
    raise SystemExit(status)


def faults(out: Path, whole: Path) -> Iterator[str]:
    """Yield what is wrong in an out folder under a final name: beside `whole`, the folder that comes out in the end.

    A file is whole when it decodes to its end or parses, and it is the very same file in the end, all but those that
    grow with the run.
    """
    for path in sorted(path for path in out.rglob("*") if path.is_file() and not path.name.startswith(".")):
        name = path.relative_to(out)
        if path.suffix == ".mp4":
            yield from (f"{name} has {count} frames" for count in [decoded(path)] if count != FRAMES)
        if path.suffix == ".json":
            json.loads(path.read_bytes())
        if path.name != "manifest.json" and path.read_bytes() != (whole / name).read_bytes():
            yield f"{name} is not as it is in the end"


def decoded(path: Path) -> int:
    """Return how many frames a clip decodes to."""
    with av.open(str(path)) as clip:
        return sum(1 for _ in clip.decode(video=0))


@pytest.fixture
def out(tmp_path: Path) -> Iterator[Path]:
    """Return an out folder that is not there yet, and take it away: hundreds of them fill a disk."""
    yield tmp_path / "out"
    shutil.rmtree(tmp_path / "out", ignore_errors=True)
