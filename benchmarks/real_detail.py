"""Judge the estimate of real detail, each picture by weights fitted without it; `--fit` writes the weights anew.

`python -m benchmarks.real_detail FOLDER ... [--fit]`: folders of sharp photographs. Blur counts as the scale at which a
Gaussian's transfer has fallen to 0.22, 0.55 / sigma: so it agrees with the enlargements.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from zlib import crc32

import cv2
import numpy as np
from numpy.typing import NDArray

from benchmarks.degraded import (
    BLURS,
    FACTORS,
    KERNELS,
    LOSSLESS,
    Degraded,
    Rgb,
    as_taken,
    degraded,
    photographs,
    sharp_base,
)
from benchmarks.table import Row
from kenburns.motion.geometry import Size
from kenburns.stills.detail import weights as detail_weights
from kenburns.stills.detail.compression import blocking
from kenburns.stills.detail.enlargement import Enlargement, find_enlargement
from kenburns.stills.detail.estimate import FULL, TOLD_BY, effective_scale, real_detail, terms
from kenburns.stills.detail.measures import MEASURES, detail_measures
from kenburns.stills.detail.noise import noise_level
from kenburns.stills.detail.patches import luma, most_structured, patch_places
from kenburns.stills.detail.weights import Weights

FOLDS = 5
RIDGE = 10.0
SHARP_WEIGHT = 3.0
BLUR = 0.55  # scale of a blur, times its sigma in px
SMOOTH = tuple(kernel for kernel in KERNELS if kernel != "nearest")
ENLARGED = (*SMOOTH, "sharpened", "compressed twice")

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Trial:
    """One degraded picture and all that the verdict needs."""

    picture: str
    made: Degraded
    measures: Floats
    found: Enlargement | None
    blocking: float
    noise: float

    @property
    def truth(self) -> float | None:
        """The scale to be found; None where no one value is true."""
        if self.made.kind in ENLARGED:
            return 1 / self.made.amount
        if self.made.kind == "blurred" and self.made.amount >= 1:
            return BLUR / self.made.amount
        return 1.0 if self.made.kind == "sharp" else None


def patches(rgb: Rgb) -> list[Rgb]:
    places = patch_places(Size(rgb.shape[1], rgb.shape[0]))
    return [rgb[int(p.y) : int(p.bottom), int(p.x) : int(p.right)] for p in places]


def trial(picture: str, made: Degraded, rgb: Rgb) -> Trial:
    lumas = [luma(patch) for patch in patches(rgb)]
    telling = most_structured(lumas, TOLD_BY)
    found = find_enlargement(telling)
    return Trial(picture, made, detail_measures(telling), found, blocking(telling), noise_level(lumas))


def trials_of(path: Path) -> list[Trial]:
    """Return the trials of one photograph, its own pixels as the last."""
    cv2.setNumThreads(1)
    sharp = sharp_base(path)
    made = () if sharp is None else degraded(sharp, crc32(path.name.encode()))
    done = [trial(path.name, how, rgb) for how, rgb in made]
    taken = as_taken(path)
    return [*done, trial(path.name, Degraded("as taken", 1.0, LOSSLESS), taken)] if min(taken.shape[:2]) > 399 else done


def fit(trials: Sequence[Trial]) -> Weights:
    """Return ridge regression of log2(scale) on the measures and their products, sharp pictures weighing more."""
    known = [(each, truth) for each in trials if (truth := each.truth) is not None]
    measures = np.array([each.measures for each, _ in known])
    centre, spread = measures.mean(axis=0), measures.std(axis=0)
    columns = terms(np.clip((measures - centre) / spread, -3, 3))
    weight = np.array([SHARP_WEIGHT if truth == 1 else 1.0 for _, truth in known])[:, None]
    penalty = np.diag([0.0] + [RIDGE] * (columns.shape[1] - 1))
    wanted = np.log2([truth for _, truth in known])
    solved = np.linalg.solve((columns * weight).T @ columns + penalty, (columns * weight).T @ wanted)
    return Weights(centre, spread, solved)


def cross_validated(trials: Sequence[Trial]) -> list[float]:
    """Return each trial's scale by weights fitted on the other folds' pictures; one picture lies in one fold."""
    fold = {name: k % FOLDS for k, name in enumerate(sorted({each.picture for each in trials}, key=_shuffled))}
    fitted = [fit([each for each in trials if fold[each.picture] != k]) for k in range(FOLDS)]
    return [effective_scale(each.measures, each.found, fitted[fold[each.picture]]) for each in trials]


def _shuffled(name: str) -> int:
    return crc32(name.encode())


Judged = tuple[Degraded, float]  # what was done, and the scale found
Which = Callable[[Degraded], bool]


def measure(trials: Sequence[Trial]) -> list[Row]:
    """Return the table's rows."""
    judged = list(zip((each.made for each in trials), cross_validated(trials), strict=True))
    smooth = [(made, scale) for made, scale in judged if made.kind in SMOOTH and made.quality >= 90]
    blurred = [(made, scale) for made, scale in judged if made.kind == "blurred"]
    errors = [abs(scale * made.amount - 1) for made, scale in smooth if made.amount >= 1.5]
    return [
        Row(f"x1.5 to x4 smooth, JPEG 90 up ({len(errors)}): relative error", [statistics.median(errors)], "<= 0.18"),
        *(soft(judged, what, which, bound) for what, which, bound in SOFT),
        *(middle(smooth, f"x{factor:g} smooth, JPEG 90 up", factor) for factor in FACTORS),
        *(middle(blurred, f"blur of {sigma:g} px", sigma) for sigma in BLURS),
    ]


def soft(judged: Sequence[Judged], what: str, which: Which, bound: str) -> Row:
    found = [scale < FULL for made, scale in judged if which(made)]
    return Row(f"{what} ({len(found)}): share called soft", [sum(found) / len(found)], bound)


def middle(judged: Sequence[Judged], what: str, amount: float) -> Row:
    return Row(
        f"{what}: median scale", [statistics.median(scale for made, scale in judged if made.amount == amount)], ""
    )


def good(made: Degraded, kinds: Sequence[str], *factors: float) -> bool:
    return made.kind in kinds and made.amount in factors and made.quality >= 90


SOFT: tuple[tuple[str, Which, str], ...] = (
    ("x2 smooth, JPEG 90 up", lambda m: good(m, SMOOTH, 2), ">= 0.85"),
    ("x3 and x4 smooth, JPEG 90 up", lambda m: good(m, SMOOTH, 3, 4), ">= 0.92"),
    ("x2 to x4 nearest, JPEG 90 up", lambda m: good(m, ("nearest",), 2, 3, 4), ">= 0.97"),
    ("sharp, JPEG 60 up", lambda m: m.kind == "sharp", "<= 0.05"),
    ("sharp, JPEG 60", lambda m: m.kind == "sharp" and m.quality == 60, ""),
    ("x2 to x4 nearest, JPEG 40 to 85", lambda m: m.kind == "nearest" and m.amount >= 2 and m.quality < 90, ""),
    ("x2 smooth, JPEG 40 to 85", lambda m: m.kind in SMOOTH and m.amount == 2 and m.quality < 90, ""),
    ("x2 sharpened after it", lambda m: m.kind == "sharpened" and m.amount == 2, ""),
    ("x2 with noise of 4 on it", lambda m: m.kind == "noisy enlarged" and m.amount == 2, ""),
    ("sharp with noise of 2 to 10", lambda m: m.kind == "noisy", ""),
    ("as taken, truth unknown", lambda m: m.kind == "as taken", ""),
)


def cost() -> Row:
    """Return the processor time, in milliseconds, that 24 patches take."""
    cv2.setNumThreads(1)
    rgb = np.random.default_rng(1).integers(0, 256, (1536, 2048, 3), np.uint8)
    cut = [np.ascontiguousarray(patch) for patch in patches(np.asarray(cv2.GaussianBlur(rgb, (0, 0), 2), np.uint8))]
    times = []
    for _ in range(15):
        start = time.process_time()
        real_detail(cut)
        times.append(1000 * (time.process_time() - start))
    return Row(f"{len(cut)} patches", times[3:], "<= 20", " ms")


def written(weights: Weights) -> str:
    """Return the text of detail/weights.py."""
    scales = [
        f"    ({centre:.4f}, {spread:.4f}),  # {name}"
        for name, centre, spread in zip(MEASURES, weights.centre, weights.spread, strict=True)
    ]
    table = np.zeros((len(MEASURES) + 1,) * 2)
    table[np.triu_indices(len(table))] = weights.terms
    rows = ["".join(f"{value:9.4f}" for value in row[k:]).strip() for k, row in enumerate(table)]
    head = Path(detail_weights.__file__).read_text().split("_SCALES = (")[0]
    return "\n".join([head + "_SCALES = (", *scales, ")", '_TERMS = """', *rows, '"""', LAST, ""])


LAST = (
    "_CENTRE, _SPREAD = np.array(_SCALES).T\nWEIGHTS = Weights(_CENTRE, _SPREAD, np.array(_TERMS.split(), np.float64))"
)


def main() -> None:
    names = [name for name in sys.argv[1:] if name != "--fit"]
    with ProcessPoolExecutor(2) as pool:
        trials = [each for some in pool.map(trials_of, photographs([Path(name) for name in names])) for each in some]
    if "--fit" in sys.argv:
        Path(detail_weights.__file__).write_text(written(fit(trials)))
    for row in (*measure(trials), cost()):
        print(row, flush=True)


if __name__ == "__main__":
    main()
