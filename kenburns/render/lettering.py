"""Cards of words as frames: a ground that may drift, and letters that stand still on it; or credits that roll.

Letters are laid on the finished planes of a frame, so they are as sharp in the clip as they were drawn, whatever the
ground does below them. A roll is a picture higher than the frame, gone over in whole rows.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..cards.drawing import Pixels, coverage
from ..cards.ground import Drift
from ..cards.look import Look, rgb
from ..cards.passages import Screen
from ..cards.roll import roll_picture, roll_row
from ..cards.screens import ground, screen_lines
from ..motion.geometry import Rect, Size
from ..plan.document import PlannedWords
from ..stills.open import Photograph
from ..stills.small import small_rgb
from .colour import MATRIX
from .frames import Raster
from .levels import Pyramid
from .resample import Output
from .source import picture_pyramid

SMALL = 960
"""Longest side, px, at which the still of a softened ground is read: its blur leaves no finer detail."""


@dataclass(frozen=True, slots=True, eq=False)
class Letters:
    """The letters of one screen: of each ink, how far it covers the samples of the three planes, and its codes."""

    layers: tuple[tuple[tuple[NDArray[np.float32], ...], tuple[float, ...]], ...]

    def lay(self, planes: Sequence[Output]) -> None:
        """Lay the letters on the planes of a frame."""
        for covers, codes in self.layers:
            for samples, cover, code in zip(planes, covers, codes, strict=True):
                rows = slice(*_rows_with_ink(cover))
                part = samples[rows].astype(np.float32)
                samples[rows] = np.rint(part + (np.float32(code) - part) * cover[rows])


@dataclass(frozen=True, slots=True)
class Lettered:
    """What a card of words is drawn from: a picture, its views frame by frame, and the letters over each."""

    pyramid: Pyramid
    exposures: tuple[tuple[Rect, ...], ...]
    letters: tuple[Letters | None, ...]


def lettered(
    words: PlannedWords, handles: int, look: Look, raster: Raster, photograph: Photograph | None = None
) -> Lettered:
    """Return the frames of a card of words, handles included; `photograph` is the one its ground is softened from.

    PhotographError where that cannot be read.
    """
    if words.step:
        return _rolled(words, handles, look, raster)
    still = None if photograph is None else small_rgb(photograph, SMALL, rgb(look.ground))
    frames = sum(screen.frames for screen in words.screens) + 2 * handles
    views = drift_views(Drift(words.closest, frames), raster.frame)
    below = ground(_large_enough(raster.frame, words.closest), look, still)
    letters = [_letters(screen.screen(), look, raster) for screen in words.screens]
    counts = [screen.frames for screen in words.screens]
    counts[0] += handles
    counts[-1] += handles
    over = tuple(each for each, count in zip(letters, counts, strict=True) for _ in range(count))
    return Lettered(picture_pyramid(below, raster, views), tuple((view,) for view in views), over)


def _rolled(words: PlannedWords, handles: int, look: Look, raster: Raster) -> Lettered:
    frame, screen = raster.frame, words.screens[0]
    tall = roll_picture(screen.screen(), frame, look)
    inner = (roll_row(number, words.step, len(tall), frame) for number in range(screen.frames))
    tops = [0] * handles + list(inner) + [len(tall) - frame.height] * handles
    views = [Rect(0.0, float(top), float(frame.width), float(frame.height)) for top in tops]
    return Lettered(picture_pyramid(tall, raster, views), tuple((view,) for view in views), tuple(None for _ in views))


def drift_views(drift: Drift, frame: Size) -> list[Rect]:
    """Return the view of every frame in a ground that is large enough for the closest to be at 1:1."""
    size = _large_enough(frame, drift.closeness)
    views = []
    for number in range(drift.frames):
        share = drift.closeness / drift.at(number)
        width, height = max(frame.width * share, frame.width), max(frame.height * share, frame.height)
        views.append(Rect((size.width - width) / 2, (size.height - height) / 2, width, height))
    return views


def _large_enough(frame: Size, closeness: float) -> Size:
    return Size(math.ceil(frame.width * closeness), math.ceil(frame.height * closeness))


def _letters(screen: Screen, look: Look, raster: Raster) -> Letters:
    covered = coverage(raster.frame, screen_lines(screen, raster.frame, look))
    return Letters(tuple((_covers(cover, raster), _codes(colour, raster)) for colour, cover in covered.items()))


def _covers(cover: Pixels, raster: Raster) -> tuple[NDArray[np.float32], ...]:
    shares = np.asarray(cover / np.float32(255), np.float32)
    rows, columns = raster.shapes[1]
    blocks = shares.reshape(rows, raster.sampling.down, columns, raster.sampling.across)
    chroma = np.asarray(blocks.mean(axis=(1, 3)), np.float32)
    return shares, chroma, chroma


def _codes(colour: str, raster: Raster) -> tuple[float, ...]:
    """Return an ink's Y', Cb and Cr codes (Rec. ITU-R BT.709-6, table 4)."""
    codes = MATRIX[:, :3] @ (np.asarray(rgb(colour)) / 255) + MATRIX[:, 3]
    return tuple(float(code) / (1 << (16 - raster.bits)) for code in codes)


def _rows_with_ink(cover: NDArray[np.float32]) -> tuple[int, int]:
    rows = np.flatnonzero(cover.any(axis=1))
    return (int(rows[0]), int(rows[-1]) + 1) if len(rows) else (0, 0)
