"""Make the outline scorer's weights: `python -m benchmarks.train_outlines [PHOTOGRAPHS]`, from seeds below 10 000.

Both scorers learn to give the most to the candidate that is the work, among all of one photograph (softmax and cross-
entropy), by Adam (Kingma & Ba, ICLR 2015) on numpy arrays. Where no candidate is the work, the whole is the answer.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

import kenburns.stills
from benchmarks.gallery import Sample, with_wall, without_wall
from benchmarks.overlap import overlaps
from benchmarks.statues import free_standing
from kenburns.stills.candidates import Evidence, candidates, gather
from kenburns.stills.scorer import WEIGHTS, Scorer

Rows = NDArray[np.float64]

FIRST, SECOND = 16, 24  # hidden units
MAKERS: dict[str, Callable[[int], Sample]] = {
    "wall": with_wall,
    "no wall": without_wall,
    "free-standing": free_standing,
}
SEEDS = {
    "wall": [*range(800), *range(5000, 5200)],
    "no wall": [*range(266), *range(5000, 5100)],
    "free-standing": [*range(102), *range(5000, 5060)],
}
VOICES = 3  # scorers that are averaged
NOISE = 0.2
DECAY = 0.06
VALUE = 0.015  # of IoU: how much worse a candidate may be and still be e times less wanted


@dataclass(frozen=True, slots=True)
class Lesson:
    """Candidates' rows (k, f) and how much each is wanted (k), adding up to 1."""

    rows: Rows
    wanted: Rows


def main() -> None:
    jobs = [(name, seed) for name in MAKERS for seed in SEEDS[name]]
    with ProcessPoolExecutor(2) as pool:
        known = list(pool.map(learn_from, jobs, chunksize=8))
    first = train([lesson for _, lesson, _ in known], FIRST, 9)
    lessons = [second_lesson(evidence, first, sample) for evidence, _, sample in known]
    second = averaged([train(lessons, SECOND, 24, seed) for seed in range(VOICES)])
    target = Path(kenburns.stills.__path__[0]) / WEIGHTS
    target.write_text(json.dumps([packed(first), packed(second)], separators=(",", ":")) + "\n", encoding="utf-8")


def learn_from(job: tuple[str, int]) -> tuple[Evidence, Lesson, Sample]:
    sample = MAKERS[job[0]](job[1])
    evidence = gather(sample.rgb)
    shares = evidence.quads.corners / evidence.quads.size
    bare = Sample(np.zeros((*sample.rgb.shape[:2], 0), np.uint8), sample.corners, sample.kind)
    return evidence, Lesson(evidence.rows, wanted(shares, bare, 0)), bare


def second_lesson(evidence: Evidence, first: Scorer, sample: Sample) -> Lesson:
    found = candidates(evidence, first)
    return Lesson(found.rows, wanted(found.corners, sample, found.masses))


def wanted(corners: Rows, sample: Sample, masses: int) -> Rows:
    """Return how much each candidate (k, 4, 2, as shares) is wanted."""
    weights = np.zeros(len(corners))
    if sample.corners is not None:
        size = sample.rgb.shape[1], sample.rgb.shape[0]
        iou = overlaps(corners * size, sample.corners)[0]
        of_masses = np.arange(len(corners)) >= len(corners) - masses
        free = sample.kind == "free-standing"
        fits = (iou > (0.85 if free else 0.93)) & (of_masses == free)
        weights = np.where(fits, np.exp((iou - 1) / (4 * VALUE if free else VALUE)), 0)
    if weights.sum() == 0:
        weights[0] = 1
    return np.asarray(weights / weights.sum())


def averaged(voices: Sequence[Scorer]) -> Scorer:
    """Return one scorer that gives the mean of several: their hidden units side by side."""
    hidden, bias, out = (np.concatenate([getattr(v, n) for v in voices], axis=-1) for n in ("hidden", "bias", "out"))
    return Scorer(voices[0].mean, voices[0].scale, hidden, bias, out / len(voices))


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
