"""How well the work's outline is found in synthetic gallery photographs that no tuning has seen.

`python -m benchmarks.outlines` for painted works; `python -m benchmarks.outlines FOLDER` to hang the photographs of a
folder instead. Definitions: an outline is right at IoU >= 0.95 with the truth of `benchmarks.gallery`; it cuts into the
work where more than 1 % of the truth's area lies outside; an outline of the whole photograph is the whole's rectangle.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from benchmarks.gallery import LONGEST, Photographs, Sample, with_wall, without_wall
from benchmarks.overlap import overlaps
from benchmarks.statues import free_standing
from benchmarks.table import Row
from kenburns.stills.outline.artwork import CONFIDENT, Outline, find_work

FIRST_SEED = 10_000
WALLS, BARE, FREE = 400, 200, 120
KINDS = {".jpg", ".jpeg", ".png"}


@dataclass(frozen=True, slots=True)
class Verdict:
    """One photograph's figures; `cut` is the share of the work lost."""

    iou: float
    cut: float
    outline: Outline
    seconds: float


def measure(works: Photographs = ()) -> Iterator[Row]:
    walls = judged(lambda seed: with_wall(seed, works), WALLS)
    yield Row("outlines with a wall: IoU >= 0.95", [share(walls, lambda v: v.iou >= 0.95)], ">= 0.80")
    yield Row("outlines with a wall: cut into the work by more than 1 %", [share(walls, cut_into)], "<= 0.05")
    sure = [v for v in walls if v.outline.corners is not None and v.outline.confidence >= CONFIDENT]
    yield Row("the same among confident outlines", [share(sure, cut_into)], "<= 0.01")
    yield Row("confident outlines among those with a wall", [len(sure) / len(walls)], "")
    bare = judged(lambda seed: without_wall(seed, works), BARE)
    yield Row("photographs without a wall: cropped", [share(bare, lambda v: v.outline.corners is not None)], "<= 0.06")
    free = judged(free_standing, FREE)
    yield Row("round and free-standing works: IoU >= 0.80", [share(free, lambda v: v.iou >= 0.8)], ">= 0.75")
    yield Row("time for an outline", [1000 * v.seconds for v in walls], "<= 25", " ms")


def judged(make: Callable[[int], Sample], count: int) -> list[Verdict]:
    return [verdict(make(FIRST_SEED + index)) for index in range(count)]


def verdict(sample: Sample) -> Verdict:
    """Return how the outline found in a photograph compares with the truth."""
    before = time.process_time()
    outline = find_work(sample.rgb)
    seconds = time.process_time() - before
    height, width = sample.rgb.shape[:2]
    whole = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float64)
    found = whole if outline.corners is None else np.array(outline.corners)
    iou, cut = overlaps(found[None], whole if sample.corners is None else sample.corners)
    return Verdict(float(iou[0]), float(cut[0]), outline, seconds)


def share(verdicts: list[Verdict], holds: Callable[[Verdict], bool]) -> float:
    return sum(map(holds, verdicts)) / max(1, len(verdicts))


def cut_into(verdict: Verdict) -> bool:
    return verdict.cut > 0.01


def photographs(folder: Path) -> Photographs:
    """Return the photographs of a folder, no longer than needed."""
    paths = sorted(path for path in folder.iterdir() if path.suffix.lower() in KINDS)
    return tuple(reduced(path) for path in paths)


def reduced(path: Path) -> NDArray[np.uint8]:
    rgb = np.asarray(cv2.imread(str(path), cv2.IMREAD_COLOR_RGB), np.uint8)
    ratio = min(1.0, 1.5 * LONGEST / max(rgb.shape[:2]))
    return np.asarray(cv2.resize(rgb, None, fx=ratio, fy=ratio, interpolation=cv2.INTER_AREA), np.uint8)


if __name__ == "__main__":
    cv2.setNumThreads(1)
    for row in measure(photographs(Path(sys.argv[1])) if sys.argv[1:] else ()):
        print(row, flush=True)
