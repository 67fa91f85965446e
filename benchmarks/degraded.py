"""Pictures of known real detail: photographs made truly sharp by reducing them, then enlarged, blurred and compressed.

Photographs are seldom perfectly sharp at 1:1, so each is first reduced to half its sides or less.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from zlib import crc32

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image
from PIL.Image import Resampling

Rgb = NDArray[np.uint8]

LONGEST = 900
LEAST = 100
REDUCERS = (Resampling.BOX, Resampling.HAMMING, Resampling.BICUBIC, Resampling.LANCZOS)
KERNELS = {
    "nearest": Resampling.NEAREST,
    "bilinear": Resampling.BILINEAR,
    "bicubic": Resampling.BICUBIC,
    "lanczos": Resampling.LANCZOS,
}
FACTORS = (1.25, 1.5, 2.0, 3.0, 4.0)
BLURS = (0.5, 0.7, 1.0, 1.5, 2.0, 3.0)  # px
LOSSLESS = 100


@dataclass(frozen=True, slots=True)
class Degraded:
    """What was done to a sharp picture: `amount` is the factor of an enlargement or the deviation of blur or noise."""

    kind: str
    amount: float
    quality: int  # of the JPEG that it became; LOSSLESS for none


def photographs(folders: list[Path]) -> list[Path]:
    """Return the JPEG and PNG files in these folders, by name."""
    return sorted(path for folder in folders for path in folder.iterdir() if path.suffix.lower() in (".jpg", ".png"))


def sharp_base(path: Path) -> Rgb | None:
    """Return the picture at half its sides or less, its longer side at most LONGEST; None where that is tiny."""
    with Image.open(path) as image:
        ratio = max(2.0, *(side / LONGEST for side in image.size))
        size = round(image.width / ratio), round(image.height / ratio)
        reduced = image.convert("RGB").resize(size, REDUCERS[crc32(path.name.encode()) % len(REDUCERS)])
    return np.asarray(reduced) if min(size) >= LEAST else None


def as_taken(path: Path) -> Rgb:
    """Return the middle of the photograph at its own pixels, at most 1600 x 1200."""
    with Image.open(path) as image:
        width, height = min(image.width, 1600), min(image.height, 1200)
        left, top = (image.width - width) // 2, (image.height - height) // 2
        return np.asarray(image.convert("RGB").crop((left, top, left + width, top + height)))


def degraded(sharp: Rgb, seed: int) -> Iterator[tuple[Degraded, Rgb]]:
    """Yield the picture itself at JPEG qualities, then enlarged, sharpened after it, blurred, and noisy."""
    chance = np.random.default_rng(seed)
    for quality in (LOSSLESS, 95, 90, 80, 70, 60):
        yield Degraded("sharp", 1.0, quality), jpeg(sharp, quality)
    for factor in FACTORS:
        for kernel in KERNELS:
            large = enlarged(sharp, factor, kernel)
            for quality in _qualities(chance):
                yield Degraded(kernel, factor, quality), jpeg(large, quality)
    for factor in (1.5, 2.0, 3.0):
        large = enlarged(sharp, factor, "bicubic")
        yield Degraded("sharpened", factor, LOSSLESS), _sharpened(large, 0.6 * factor)
        yield Degraded("noisy enlarged", factor, LOSSLESS), _noisy(large, 4.0, chance)
        yield Degraded("compressed twice", factor, 92), jpeg(enlarged(jpeg(sharp, 75), factor, "bicubic"), 92)
    for sigma in BLURS:
        blurred = np.asarray(cv2.GaussianBlur(sharp, (0, 0), sigma), np.uint8)
        yield (made := Degraded("blurred", sigma, _qualities(chance)[0])), jpeg(blurred, made.quality)
    for sigma in (2.0, 5.0, 10.0):
        yield Degraded("noisy", sigma, LOSSLESS), _noisy(sharp, sigma, chance)


def enlarged(rgb: Rgb, factor: float, kernel: str) -> Rgb:
    size = round(rgb.shape[1] * factor), round(rgb.shape[0] * factor)
    return np.asarray(Image.fromarray(rgb).resize(size, KERNELS[kernel]))


def jpeg(rgb: Rgb, quality: int) -> Rgb:
    """Return what a JPEG of this quality makes of the picture."""
    if quality == LOSSLESS:
        return rgb
    file = io.BytesIO()
    Image.fromarray(rgb).save(file, "JPEG", quality=quality)
    return np.asarray(Image.open(file))


def _qualities(chance: np.random.Generator) -> list[int]:
    """Return a good quality, and in four cases of ten a poor one beside it."""
    good = int(chance.choice([LOSSLESS, 95, 90]))
    return [good, int(chance.choice([40, 60, 75, 85]))] if chance.random() < 0.4 else [good]


def _sharpened(rgb: Rgb, sigma: float) -> Rgb:
    """Unsharp masking of 80 %."""
    return np.asarray(cv2.addWeighted(rgb, 1.8, cv2.GaussianBlur(rgb, (0, 0), sigma), -0.8, 0), np.uint8)


def _noisy(rgb: Rgb, sigma: float, chance: np.random.Generator) -> Rgb:
    return np.clip(np.rint(rgb + chance.normal(0, sigma, rgb.shape)), 0, 255).astype(np.uint8)
