"""Check and details of a folder of photographs against merely decoding each once, in as many threads.

Two hundred JPEG files of 24 megapixels, eight different ones in 25 copies each: every copy is hashed, decoded and
looked at by itself.
"""

from __future__ import annotations

import shutil
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
from PIL import Image

from benchmarks.material import painting
from benchmarks.table import Row
from kenburns.film import Film
from kenburns.looking import LOOKERS, look_at_all
from kenburns.motion.geometry import Size
from kenburns.records import Records
from kenburns.stills.folder import find_photographs
from kenburns.stills.open import Photograph, inspect, open_pixels

DIFFERENT, COPIES = 8, 25
FRAME = Size(1920, 1080)


def measure() -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        _fill(folder)
        photographs = [inspect(path) for path in sorted(folder.glob("*.jpg"))]
        _look(folder, photographs[:4])
        decoding = _seconds(lambda: _decode(photographs))
        looking = _seconds(lambda: _look(folder, photographs))
        yield Row("check and details of 200 photographs of 24 MP / decoding each once", [looking / decoding], "<= 1.6")


def _fill(folder: Path) -> None:
    pixels = np.asarray(painting(6000, 4000))
    for number in range(DIFFERENT):
        first = folder / f"{number}-0.jpg"
        Image.fromarray(np.roll(pixels, 750 * number, axis=1)).save(first, quality=92)
        for copy in range(1, COPIES):
            shutil.copy(first, folder / f"{number}-{copy}.jpg")


def _decode(photographs: Sequence[Photograph]) -> None:
    def decode(photograph: Photograph) -> int:
        return sum(len(strip) for _, strip in open_pixels(photograph).stored_strips(256))

    with ThreadPoolExecutor(LOOKERS) as pool:
        list(pool.map(decode, photographs))


def _look(folder: Path, photographs: Sequence[Photograph]) -> None:
    """Do what `kenburns check` and `kenburns details` do: the files are found and hashed, and looked at once."""
    if len(photographs) == DIFFERENT * COPIES:
        photographs, _ = find_photographs(folder)
    look_at_all(photographs, FRAME, Film(), Records())


def _seconds(work: Callable[[], None]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start
