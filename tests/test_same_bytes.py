"""The same film gives the same bytes, whatever the machine's processors, time zone, language, seed and folder order.

Not `records.json`: it is the tool's own memory, which knows files by their dates and places on one disk, and no copy of
a film shares those.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

Photo = Callable[..., Path]
Listing = Callable[[Path], dict[str, str]]

NAMES = ("Zürich.png", "a-quay.png", "10.png")

# As on a machine with so many processors: one lane or two, and one row of a frame after another or several at once.
MAKE = """
import os, sys
from pathlib import Path
os.cpu_count = lambda: int(sys.argv[2])
from kenburns.job import make
assert make(Path(sys.argv[1])).failed == ()
"""


def film(folder: Path, order: tuple[str, ...], photograph: Photo) -> Path:
    """Lay out one film, its photographs written in some order."""
    for name in order:
        photograph(folder / "photographs" / name, 480, 300, NAMES.index(name))
    (folder / "film.toml").write_text('[film]\ntitle = "Salt and Linen"\nframe = "320x180"\ncodec = "review"\n')
    rows = [f"{number},{40 * number},30,{name},{name}" for number, name in enumerate(NAMES)]
    (folder / "cutlist.csv").write_text(
        "\n".join(["slot,start,length,wanted,still", *rows, "9,900,5,the quay,"]) + "\n"
    )
    return folder


def make(folder: Path, processors: int, **environment: str) -> None:
    words = [sys.executable, "-c", MAKE, str(folder), str(processors)]
    subprocess.run(words, check=True, capture_output=True, env={**os.environ, **environment})


def test_neither_processors_nor_zone_nor_language_nor_seed_nor_order_change_a_byte(
    tmp_path: Path, photograph: Photo, listing: Listing
) -> None:
    one, other = (
        film(tmp_path / "1" / "film", NAMES, photograph),
        film(tmp_path / "2" / "film", NAMES[::-1], photograph),
    )
    make(one, 1, PYTHONHASHSEED="1", LC_ALL="C", TZ="UTC")
    make(other, 16, PYTHONHASHSEED="2", LC_ALL="tr_TR.UTF-8", TZ="Pacific/Chatham")
    first, second = listing(one / "out"), listing(other / "out")
    assert {"0.mp4", "9.mp4", "sheet.html", "sheet.png", "plan.json", "manifest.json", "film.otio"} <= first.keys()
    assert first.keys() == second.keys()
    assert [name for name in first if first[name] != second[name]] in ([], ["records.json"])
