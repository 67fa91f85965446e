"""What tests of the whole job share: photographs drawn on the spot, the demo film's, a small plan, and files read back.

Nothing here is a reference: sizes, rates and codecs are read back with PyAV, hashes with hashlib.
"""

from __future__ import annotations

import hashlib
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from hypothesis import HealthCheck, settings
from PIL import Image

from kenburns.motion.geometry import Rect
from kenburns.motion.path import Shot, Stop
from kenburns.plan.document import Plan, PlannedCard, PlannedFrame, PlannedShot, PlannedSlot, PlannedStill
from shared.paint import paint

settings.register_profile("patient", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("patient")  # a slow machine is no failure


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--full", action="store_true", help="tests/endurance: hours instead of seconds")
    parser.addoption("--seed", help="tests/endurance: the same random moments again")


_COMPILED = pytest.StashKey[subprocess.Popen[bytes]]()
_COMPILE = """
import sys, tempfile
from pathlib import Path
import skimage.data
from PIL import Image
from kenburns.job import make
with tempfile.TemporaryDirectory() as name:
    Image.fromarray(skimage.data.page()).convert("RGB").save(Path(name) / "page.png")
    make(name, frame="96x64", codec="review")
"""


def pytest_sessionstart(session: pytest.Session) -> None:
    """Let numba compile while tests are collected: else every test process begins with compiling the same."""
    if session.config.getoption("numprocesses", None) and not hasattr(session.config, "workerinput"):
        words = [sys.executable, "-c", _COMPILE]
        session.config.stash[_COMPILED] = subprocess.Popen(words, cwd=session.config.rootpath)


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Wait for what was begun."""
    if _COMPILED in session.config.stash:
        session.config.stash[_COMPILED].wait()


def pytest_make_parametrize_id(val: object) -> str | None:
    """Name a test that is given a very long text by its beginning: names travel between test processes, megabytes too.

    None leaves the name to pytest.
    """
    if isinstance(val, str | bytes) and len(val) > 100:
        return f"{val[:40]!r} and on to {len(val)}"
    return None


@dataclass(frozen=True)
class Decoded:
    """A clip as a decoder sees it: frames counted by decoding them all, and what the stream says of itself."""

    frames: int
    rate: Fraction
    size: tuple[int, int]
    codec: str
    pixel_format: str


@pytest.fixture(scope="session")
def decode() -> Callable[[Path], Decoded]:
    """Decode a clip to its end."""

    def decode_it(path: Path) -> Decoded:
        with av.open(str(path)) as clip:
            stream = clip.streams.video[0]
            count = sum(1 for _ in clip.decode(stream))
            assert stream.average_rate is not None
            rate = Fraction(stream.average_rate)
            context = stream.codec_context
            return Decoded(count, rate, (stream.width, stream.height), context.name, str(context.pix_fmt))

    return decode_it


@pytest.fixture(scope="session")
def photograph() -> Callable[..., Path]:
    """Draw a photograph of soft coloured fields with a grain, from a seed, into a file; its folders are made."""

    def draw(path: Path, width: int, height: int, seed: int = 0) -> Path:
        path.parent.mkdir(parents=True, exist_ok=True)
        rng = np.random.default_rng(seed)
        fields = Image.fromarray(rng.integers(0, 256, (5, 7, 3), dtype=np.uint8))
        smooth = np.asarray(fields.resize((width, height), Image.Resampling.BICUBIC), np.int16)
        grain = rng.normal(0, 14, (height, width, 1)).astype(np.int16)  # as much detail as there are pixels
        Image.fromarray(np.clip(smooth + grain, 0, 255).astype(np.uint8)).save(path)
        return path

    return draw


@pytest.fixture(scope="session")
def listing() -> Callable[[Path], dict[str, str]]:
    """List everything below a folder, hidden files too: each file's hash, "" for a folder."""

    def list_it(folder: Path) -> dict[str, str]:
        return {
            path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else ""
            for path in sorted(folder.rglob("*"))
        }

    return list_it


@pytest.fixture(scope="session")
def demo_photographs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Paint the demo film's photographs once, whichever of several test processes comes first."""
    own = tmp_path_factory.getbasetemp()
    base = own.parent if own.name.startswith("popen-") else own
    painted, done = base / "demo-film", base / "demo-film-done"
    try:
        painted.mkdir()
    except FileExistsError:
        _wait_for(done)
        return painted
    paint(painted)
    done.touch()
    return painted


def _wait_for(done: Path) -> None:
    for _ in range(900):
        if done.exists():
            return
        time.sleep(0.1)
    raise TimeoutError(f"{done} did not appear within 90 s")


@pytest.fixture
def small_plan() -> Plan:
    """Return a plan of 320x180 px at 25: slot 01 pushes in for 5 frames (hand-worked), slot 02 is a card of 4."""
    push = Shot("push in", 5, (Stop(Rect(0, 0, 640, 360), 0, 1), Stop(Rect(160, 90, 320, 180), 4, 4)), "linear")
    clip = PlannedSlot(
        slot="01",
        file="01.mp4",
        kind="clip",
        start=250,
        frames=5,
        wanted="the harbour",
        still=PlannedStill(file="sea.png", sha256="ab" * 32, width=640, height=360, matched_by="title", score=95.0),
        shots=(PlannedShot.of(push),),
    )
    card = PlannedSlot(
        slot="02",
        file="02.mp4",
        kind="card",
        start=255,
        frames=4,
        wanted="the quay",
        card=PlannedCard(
            slot="02",
            wanted="the quay",
            start_timecode="00:00:10:05",
            end_timecode="00:00:10:09",
            length="0.16 s · 4 frames",
            reason="no photograph yet",
        ),
        flags=("no photograph yet",),
    )
    return Plan(
        title="Salt and Linen",
        frame=PlannedFrame(width=320, height=180),
        rate="25/1",
        drop=False,
        codec="review",
        card_look="plain",
        matte="#161616",
        kernel="crisp",
        handles=0,
        slots=(clip, card),
    )
