"""Two thousand slots on five hundred photographs: planning, an unchanged second run, and memory as a film grows.

The photographs are small and the clips short: what is measured is what every slot costs besides its frames.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from PIL import Image

from benchmarks.table import Row
from kenburns.prepare import Options, prepare_all
from kenburns.records import load_records

PHOTOGRAPHS = 500
FEW, MANY = 200, 2000
ROUNDS = 3

_FILM = '[film]\ntitle = "Salt and Linen"\nframe = "320x180"\ncodec = "review"\n'
_LIGHTS = ("dawn", "noon", "dusk", "night", "fog", "rain", "snow", "storm", "calm", "flood")
_PLACES = ("harbour", "quay", "mill", "orchard", "ferry", "market", "bridge", "chapel", "kiln", "lighthouse")
_MAKERS = ("Aldous", "Brenna", "Corvin", "Dagny", "Edda")

_MAKE = """
import sys
from pathlib import Path
from kenburns.cli import main

try:
    main()
except SystemExit as end:
    if end.code not in (0, 1):
        raise
# Not getrusage: its peak begins with that of the process that started this one.
peak = next(line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM"))
print(int(peak.split()[1]) / 1024)
"""


def measure() -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as name:
        film = Path(name)
        _paint(film / "photographs")
        (film / "film.toml").write_text(_FILM)
        few = _made(film, FEW)
        yield from _planning(film)
        many = _made(film, MANY)
        yield Row(
            f"memory of making {MANY} slots / of {FEW}, both on {PHOTOGRAPHS} photographs", [many / few], "<= 1.1"
        )
        again = [_seconds(film) for _ in range(ROUNDS)]
        yield Row(f"an unchanged run of {MANY} slots on {PHOTOGRAPHS} photographs", again, "<= 2", " s")


def _planning(film: Path) -> Iterator[Row]:
    """Plan anew what is known of every photograph; the time of a slot in a long film against that in a shorter one."""
    slot: dict[int, float] = {}
    for slots in (MANY // 4, MANY // 2, MANY):
        _list(film, slots)
        slot[slots] = min(_plan(film) for _ in range(ROUNDS)) / slots
        yield Row(f"planning {slots} slots, for each", [slot[slots] * 1000], "", " ms")
    yield Row(f"planning a slot of {MANY} / of {MANY // 4}", [slot[MANY] / slot[MANY // 4]], "<= 1.1")


def _plan(film: Path) -> float:
    begin = time.process_time()
    prepare_all(film, Options(), load_records(film / "out"))
    return time.process_time() - begin


def _made(film: Path, slots: int) -> float:
    """Make the film with so many slots in a process of its own; return its peak memory in megabytes."""
    _list(film, slots)
    words = [sys.executable, "-c", _MAKE, "make", str(film)]
    return float(subprocess.run(words, check=True, capture_output=True, text=True).stdout.splitlines()[-1])


def _seconds(film: Path) -> float:
    begin = time.perf_counter()
    words = [sys.executable, "-m", "kenburns", "make", str(film)]
    told = subprocess.run(words, check=False, capture_output=True, text=True).stdout
    if "0 made now" not in told:
        raise RuntimeError(f"an unchanged run made something: {told}")
    return time.perf_counter() - begin


def _titles() -> list[str]:
    return [f"{place} in {light}, by {maker}" for maker in _MAKERS for light in _LIGHTS for place in _PLACES]


def _paint(folder: Path) -> None:
    """Draw soft fields of colour with a grain, each another, named as archives name theirs."""
    folder.mkdir()
    for number, title in enumerate(_titles()):
        rng = np.random.default_rng(number)
        fields = Image.fromarray(rng.integers(0, 256, (5, 7, 3), dtype=np.uint8))
        smooth = np.asarray(fields.resize((720, 480), Image.Resampling.BICUBIC), np.int16)
        grain = rng.normal(0, 14, (480, 720, 1)).astype(np.int16)
        picture = Image.fromarray(np.clip(smooth + grain, 0, 255).astype(np.uint8))
        picture.save(folder / f"{title.replace(', ', '_').replace(' ', '-')}.jpg", quality=92)


def _list(film: Path, slots: int) -> None:
    """List slots of half a second: one in two names its file, the other says only what is wanted."""
    titles = _titles()
    rows = ["slot,start,length,wanted,still"]
    for number in range(slots):
        title = titles[number % len(titles)]
        still = f"{title.replace(', ', '_').replace(' ', '-')}.jpg" if number % 2 else ""
        rows.append(f'{number + 1:04},{12 * number},12,"{title}",{still}')
    (film / "cutlist.csv").write_text("\n".join(rows) + "\n")
