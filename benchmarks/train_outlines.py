"""Make the outline scorers' weights: `python -m benchmarks.train_outlines`, from seeds below 10 000; needs lightgbm.

Both scorers learn to give the most to the candidate that is the work, among all of one photograph (softmax and cross-
entropy): the first, of quadrangles by themselves, by Adam (Kingma & Ba, ICLR 2015) on numpy arrays; the second, of the
shortlist, by `benchmarks.boosting`. Where no candidate is the work, the whole is the answer.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

import kenburns.stills
from benchmarks.boosting import grown
from benchmarks.gallery import Sample, with_wall, without_wall
from benchmarks.overlap import overlaps
from benchmarks.statues import free_standing
from kenburns.stills.outline.artwork import fitted
from kenburns.stills.outline.candidates import candidates, gather
from kenburns.stills.outline.scorer import WEIGHTS, Scorer

Rows = NDArray[np.float64]
Job = tuple[str, int]

HIDDEN, LOOKS = 16, 9  # units, and how often each photograph is seen
MAKERS: dict[str, Callable[[int], Sample]] = {
    "wall": with_wall,
    "no wall": without_wall,
    "free-standing": free_standing,
}
FIRST_SEEDS = {
    "wall": [*range(800), *range(5000, 5200)],
    "no wall": [*range(266), *range(5000, 5100)],
    "free-standing": [*range(102), *range(5000, 5060)],
}
SEEDS = {
    "wall": [*range(2888), *range(5000, 5200)],
    "no wall": [*range(791), *range(5000, 5100)],
    "free-standing": [*range(548), *range(5000, 5060)],
}
NOISE = 0.2
DECAY = 0.06
VALUE = 0.015  # of IoU: how much worse a candidate may be and still be e times less wanted
_NEAR = 0.88  # IoU from which a candidate is laid on the edges before it is weighed
_CUTS = 0.01  # of the work lost, from which a candidate is half as much wanted


@dataclass(frozen=True, slots=True)
class Lesson:
    """Candidates' rows (k, f) and how much each is wanted (k), adding up to 1."""

    rows: Rows
    wanted: Rows


def main() -> None:
    with ProcessPoolExecutor(2) as pool:
        first = train(list(pool.map(first_lesson, jobs(FIRST_SEEDS), chunksize=8)), HIDDEN, LOOKS)
        lessons = list(pool.map(partial(second_lesson, first), jobs(SEEDS), chunksize=8))
    second = grown([lesson.rows for lesson in lessons], [lesson.wanted for lesson in lessons])
    target = Path(kenburns.stills.__path__[0]) / WEIGHTS
    target.write_text(json.dumps([packed(first), second], separators=(",", ":")) + "\n", encoding="utf-8")


def jobs(seeds: dict[str, list[int]]) -> list[Job]:
    return [(name, seed) for name in seeds for seed in seeds[name]]


def first_lesson(job: Job) -> Lesson:
    """Return a photograph's quadrangles, each as it was found."""
    sample = MAKERS[job[0]](job[1])
    evidence = gather(sample.rgb)
    corners = evidence.quads.corners / evidence.quads.size * sized(sample)
    return Lesson(evidence.rows, wanted(*against(corners, sample), np.zeros(len(corners), np.bool_), sample.kind))


def second_lesson(first: Scorer, job: Job) -> Lesson:
    """Return a photograph's candidates, rectangles laid on the edges nearby as they will be."""
    sample = MAKERS[job[0]](job[1])
    found = candidates(gather(sample.rgb), first)
    corners = found.corners * sized(sample)
    iou, _ = against(corners, sample)
    of_masses = np.arange(len(corners)) >= len(corners) - found.masses
    for index in np.flatnonzero((iou > _NEAR) & ~of_masses & (np.arange(len(corners)) > 0)):
        corners[index] = fitted(sample.rgb, corners[index])
    return Lesson(found.rows, wanted(*against(corners, sample), of_masses, sample.kind, _CUTS))


def sized(sample: Sample) -> tuple[int, int]:
    return sample.rgb.shape[1], sample.rgb.shape[0]


def against(corners: Rows, sample: Sample) -> tuple[Rows, Rows]:
    """Return candidates' IoU with the work (k), 0 where there is no wall, and how much of it each cuts off (k)."""
    if sample.corners is None:
        return np.zeros(len(corners)), np.zeros(len(corners))
    return overlaps(corners, sample.corners)


def wanted(iou: Rows, cut: Rows, of_masses: NDArray[np.bool_], kind: str, cuts: float = 1.0) -> Rows:
    """Return how much each candidate (k) is wanted; rectangles that lose more than `cuts` of the work half as much."""
    free = kind == "free-standing"
    fits = (iou > (0.85 if free else 0.93)) & (of_masses == free)
    weights = np.where(fits, np.exp((iou - 1) / (4 * VALUE if free else VALUE)), 0)
    weights = np.where((cut > cuts) & (not free), weights / 2, weights)
    if weights.sum() == 0:
        weights[0] = 1
    return np.asarray(weights / weights.sum())


def train(lessons: Sequence[Lesson], hidden: int, rounds: int, seed: int = 1) -> Scorer:
    """Return the scorer that has seen all lessons `rounds` times."""
    rng = np.random.default_rng(seed)
    everything = np.concatenate([lesson.rows for lesson in lessons])
    mean, scale = everything.mean(axis=0), 1 / np.maximum(everything.std(axis=0), 1e-3)
    model = Scorer(mean, scale, rng.normal(0, 0.1, (len(mean), hidden)), np.zeros(hidden), rng.normal(0, 0.3, hidden))
    standard = [Lesson(model.standard(lesson.rows), lesson.wanted) for lesson in lessons]
    values = [model.hidden, model.bias, model.out]
    moments = [(np.zeros_like(v), np.zeros_like(v)) for v in values]
    step, batch = 0, 16
    total = rounds * (len(standard) // batch)
    for _ in range(rounds):
        order = rng.permutation(len(standard))
        for start in range(0, len(order) - batch + 1, batch):
            step += 1
            slopes = gradient([blurry(rng, standard[i]) for i in order[start : start + batch]], values)
            rate = 0.006 * 0.5 * (1 + np.cos(np.pi * step / (total + 1)))
            for value, slope, means in zip(values, slopes, moments, strict=True):
                means[0][...] += 0.1 * (slope - means[0])
                means[1][...] += 0.001 * (slope**2 - means[1])
                turn = (means[0] / (1 - 0.9**step)) / (np.sqrt(means[1] / (1 - 0.999**step)) + 1e-8)
                value[...] -= rate * (turn + DECAY * value)
    return Scorer(mean, scale, *values)


def blurry(rng: np.random.Generator, lesson: Lesson) -> Lesson:
    """Return the lesson with noise on its rows, so that no single photograph is learned by heart."""
    return Lesson(lesson.rows + NOISE * rng.standard_normal(lesson.rows.shape), lesson.wanted)


def gradient(lessons: Sequence[Lesson], values: Sequence[Rows]) -> list[Rows]:
    """Return the cross-entropy's slopes by hidden weights, bias and output weights, over one batch."""
    hidden, bias, out = values
    rows = np.concatenate([lesson.rows for lesson in lessons])
    units = np.tanh(rows @ hidden + bias)
    scores = units @ out
    ends = np.cumsum([len(lesson.rows) for lesson in lessons])[:-1]
    parts = []
    for lesson, part in zip(lessons, np.split(scores, ends), strict=True):
        powers = np.exp(part - part.max())
        parts.append(powers / powers.sum() - lesson.wanted)
    error = np.concatenate(parts) / len(lessons)
    back = error[:, None] * out[None, :] * (1 - units**2)
    return [rows.T @ back, back.sum(axis=0), units.T @ error]


def packed(scorer: Scorer) -> dict[str, object]:
    names = ("mean", "scale", "hidden", "bias", "out")
    return {
        name: [
            [float(f"{v:.4g}") for v in row] if np.ndim(row) else float(f"{row:.4g}") for row in getattr(scorer, name)
        ]
        for name in names
    }


if __name__ == "__main__":
    main()
