"""Check and details of a folder of photographs against merely decoding each once, in as many processes.

Two hundred JPEG files of 24 megapixels, eight different ones in 25 copies each: every copy is hashed, decoded and
looked at by itself.
"""

from __future__ import annotations

import shutil
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import numpy as np
from PIL import Image

from benchmarks.material import painting
from benchmarks.table import Row
from kenburns.film import Film
from kenburns.looking import look_at_all
from kenburns.motion.geometry import Size
from kenburns.records import Records
from kenburns.stills.folder import find_photographs
from kenburns.stills.open import Photograph, inspect, open_pixels
from kenburns.stills.opened_apart import opened_apart, side_by_side

DIFFERENT, COPIES = 8, 25
ROWS = 40  # at a time: decoding is quickest while a strip stays in the cache
GRAIN = {"smooth": 0.0, "with a sensor's grain": 4.0}  # levels of 255
FRAME = Size(1920, 1080)


def measure() -> Iterator[Row]:
    for kind, grain in GRAIN.items():
        with tempfile.TemporaryDirectory() as name:
            yield _row(Path(name), kind, grain)


def _row(folder: Path, kind: str, grain: float) -> Row:
    size = _fill(folder, grain)
    photographs = [inspect(path) for path in sorted(folder.glob("*.jpg"))]
    _look(folder, photographs[:4])
    decoding = _seconds(lambda: _decode(photographs))
    looking = _seconds(lambda: _look(folder, photographs))
    what = f"200 photographs of 24 MP, {kind} ({size / 1e6:.1f} MB each)"
    return Row(f"check and details of {what} / decoding each once", [looking / decoding], "<= 1.6")


def _fill(folder: Path, grain: float) -> float:
    """Write the photographs; return the mean size of their files in bytes."""
    pixels, rng = np.asarray(painting(6000, 4000)), np.random.default_rng(0)
    for number in range(DIFFERENT):
        first = folder / f"{number}-0.jpg"
        turned = np.roll(pixels, 750 * number, axis=1)
        noise = rng.normal(0, grain, (*turned.shape[:2], 1)).astype(np.float32)
        Image.fromarray(np.clip(turned + noise, 0, 255).astype(np.uint8)).save(first, quality=92)
        for copy in range(1, COPIES):
            shutil.copy(first, folder / f"{number}-{copy}.jpg")
    return float(np.mean([path.stat().st_size for path in folder.iterdir()]))


def _decode(photographs: Sequence[Photograph]) -> None:
    side_by_side(lambda photograph: opened_apart(decoded, photograph), photographs)


def decoded(photograph: Photograph) -> int:
    """Return the rows of a photograph, all of it decoded and nothing kept."""
    return sum(len(strip) for _, strip in open_pixels(photograph).stored_strips(ROWS))


def _look(folder: Path, photographs: Sequence[Photograph]) -> None:
    """Do what `kenburns check` and `kenburns details` do: the files are found and hashed, and looked at once."""
    records = Records()
    if len(photographs) == DIFFERENT * COPIES:
        photographs, _ = find_photographs(folder, inspect=records.inspect)
    look_at_all(photographs, FRAME, Film(), records)


def _seconds(work: Callable[[], None]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start
