"""Peak memory of rendering one clip, each in a process of its own, in gigabytes; and memory against clip length."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pyvips

from benchmarks.material import jpeg, painting
from benchmarks.table import Row
from kenburns.motion.geometry import Size

HD, UHD = Size(1920, 1080), Size(3840, 2160)

_CHILD = """
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from benchmarks.material import push_in, recipe
from kenburns.motion.geometry import Size
from kenburns.render.clip import write_clip
from kenburns.render.source import photograph_pyramid
from kenburns.stills.open import inspect

path, preset, width, height, frames = Path(sys.argv[1]), sys.argv[2], *map(int, sys.argv[3:])
photograph, frame = inspect(path), Size(width, height)
views, how = push_in(photograph.size, frame, frames), recipe(preset, frame)
pyramid = photograph_pyramid(photograph, views, how.raster, how.matte, how.intent)
write_clip(path.with_suffix(".clip"), pyramid, [(view,) for view in views], how, (), lambda _done: None)
# Not getrusage: its peak begins with that of the process that started this one.
peak = next(line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM"))
print(int(peak.split()[1]) * 1024 / 1e9)
"""


def measure() -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        small = jpeg(folder, 6000, 4000)
        yield Row("peak memory, HD from 24 MP JPEG", [peak(small, HD, 25)], "<= 0.6", " GB")
        short, long = peak(small, HD, 125), peak(small, HD, 1500)
        yield Row("memory of a 60 s clip / of a 5 s clip", [long / short], "<= 1.05")
        large = jpeg(folder, 12000, 8400)
        yield Row("peak memory, UHD from 100 MP JPEG", [peak(large, UHD, 12)], "<= 1.3", " GB")
        large.unlink()
        deep = tiff(folder / "deep.tif", 15000, 10000, deep=True)
        yield Row("peak memory, HD from 150 MP 16-bit TIFF", [peak(deep, HD, 25)], "<= 1.5", " GB")
        deep.unlink()
        giga = tiff(folder / "giga.tif", 32000, 32000, deep=False)
        yield Row("peak memory, HD from a tiled gigapixel TIFF", [peak(giga, HD, 25)], "<= 1.5", " GB")


def peak(photograph: Path, frame: Size, frames: int) -> float:
    words = [sys.executable, "-c", _CHILD, str(photograph), "edit", str(frame.width), str(frame.height), str(frames)]
    return float(subprocess.run(words, check=True, capture_output=True, text=True).stdout)


def tiff(path: Path, width: int, height: int, *, deep: bool) -> Path:
    """Write the painting, repeated, as a TIFF: tiled with 8 bits, or in strips with 16."""
    tile = pyvips.Image.new_from_array(painting(4000, 4000))
    picture = tile.replicate(-(-width // 4000), -(-height // 4000)).crop(0, 0, width, height)
    if deep:
        (picture.cast("ushort") * 257).cast("ushort").copy(interpretation="rgb16").tiffsave(str(path))
    else:
        picture.copy(interpretation="srgb").tiffsave(str(path), tile=True, bigtiff=True, compression="deflate")
    return path
