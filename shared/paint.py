"""Paint the photographs of the demo film: thirteen files as a production office receives them.

The film, its artist and its works are invented. Nothing here is a photograph of anything: each picture is painted
from a fixed seed, so the same bytes come out on every run on one machine.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np

from . import carved, files, gouaches, pencil, pieced, prints, seascape, still_life

_ORRELBY, _LINDQUORE = "Tamsin Orrelby", "Jarek Lindquore"

# The slowest first, so that two threads end at about the same time.
PHOTOGRAPHS: dict[str, Callable[[Path], Path]] = {
    "IMG_4471.jpg": lambda path: files.turned_jpeg(path, seascape.high_water(), _ORRELBY, "© Tamsin Orrelby"),
    "Kestrel_Kitchen_final_v2.tif": lambda path: files.deep_tiff(
        path, still_life.kestrel_kitchen(), np.random.default_rng(4)
    ),
    "no 7 - shoal.png": lambda path: files.cut_out_png(path, carved.shoal()),
    "what the sea lends.avif": lambda path: files.avif(path, carved.what_the_sea_lends()),
    "DSC0187 winter allotment.JPG": lambda path: files.jpeg(path, gouaches.winter_allotment(), artist=_LINDQUORE),
    "marram pastel.jpg": lambda path: files.jpeg(path, gouaches.marram_evening()),
    "nets-drying_WEB.webp": lambda path: files.webp(path, pieced.nets_drying()),
    "FerryHall_floor_CMYK_print.jpg": lambda path: files.cmyk_jpeg(path, pieced.ferry_hall_floor()),
    "Nine Signals 7-30 (P3).jpg": lambda path: files.p3_jpeg(path, prints.nine_signals()),
    "ebb II.jpg": lambda path: files.jpeg(path, prints.ebb_second_state(), artist=_LINDQUORE),
    "tide_tables_drawing_scan_grey.jpg": lambda path: files.jpeg(path, pencil.reading_the_tide_tables()),
    "oldslip_small.jpg": lambda path: files.jpeg(path, gouaches.old_slip(), quality=80),
}
BROKEN = "IMG_4475.jpg"

# The slots that stay cards: 07 waits for its photograph, and what 11 asks for is only like one that came.
CARDS = ("07", "11")


def paint(folder: Path) -> tuple[Path, ...]:
    """Paint every photograph into `folder`, which is made where it is missing, and return their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    with ThreadPoolExecutor(2) as painters:
        painted = tuple(painters.map(lambda item: item[1](folder / item[0]), PHOTOGRAPHS.items()))
    return (*painted, files.broken_off(folder / BROKEN, folder / "DSC0187 winter allotment.JPG"))


if __name__ == "__main__":
    for written in paint(Path(sys.argv[1])):
        print(written)
