"""What the benchmarks measure on: big photographs made from the demo film's painting, and the moves over them."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
from PIL import Image

from kenburns.motion.geometry import Rect, Size, around, bounds, containing
from kenburns.motion.path import Shot, Stop, shot_path
from kenburns.presets import codec
from kenburns.render.clip import Recipe
from kenburns.render.encode import Encoding, raster_for
from shared import seascape

RATE = Fraction(25)


def painting(width: int, height: int) -> Image.Image:
    """Return the demo film's 24-megapixel seascape, tiled or cut to this size."""
    painted = np.asarray(seascape.high_water())
    across, down = -(-width // painted.shape[1]), -(-height // painted.shape[0])
    return Image.fromarray(np.tile(painted, (down, across, 1))[:height, :width])


def jpeg(folder: Path, width: int, height: int) -> Path:
    """Write the painting as a JPEG of quality 92 and return its path."""
    path = folder / f"painting-{width}x{height}.jpg"
    painting(width, height).save(path, quality=92)
    return path


def push_in(still: Size, frame: Size, frames: int) -> list[Rect]:
    """Return the views of a push in from the whole to 1:1 about the middle, without holds or speed limit."""
    whole = containing(bounds(still), frame)
    stops = (Stop(whole, 0, 0), Stop(around(whole.centre, frame.width, frame), frames - 1, frames - 1))
    return [Rect(*row) for row in shot_path(Shot("push in", frames, stops), still, frame).tolist()]


def recipe(preset: str, frame: Size) -> Recipe:
    """Return how a codec preset's clips are made."""
    chosen = codec(preset)
    encoding = Encoding(chosen.encoder, chosen.container, chosen.pixel_format, chosen.options)
    return Recipe(raster_for(chosen.pixel_format, frame, chosen.dither), encoding, RATE, chosen.kernel, (22, 22, 22))
