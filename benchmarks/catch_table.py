"""The share of human fixations that three proposals of 6 % catch, on photographs as they are and altered.

    python -m benchmarks.catch_table FIXATIONS

FIXATIONS is a folder with `images/` and `fixations.csv` (image, observer, order, x, y, duration_ms). The packed net has
learned from one such folder; its figure there says nothing, and `train_saliency --folds 5` prints the honest one.
"""

from __future__ import annotations

import csv
import sys
from collections import defaultdict
from collections.abc import Iterable, Iterator
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from kenburns.stills.interest.faces import find_faces
from kenburns.stills.interest.learned import MODEL, Map, loaded, run
from kenburns.stills.interest.saliency import blended, classical_map

from .catch_details import Boxes, boxes, size_of
from .versions import VERSIONS

COUNT, AREA = 3, 0.06
Points = NDArray[np.float64]
Row = tuple[str, str]  # version, what is switched on


def fixations(folder: Path) -> dict[str, Points]:
    """Return for each image, in order of name, its fixations (x, y) in pixels."""
    found = defaultdict(list)
    with (folder / "fixations.csv").open(newline="", encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            found[row["image"]].append((float(row["x"]), float(row["y"])))
    return {name: np.array(points) for name, points in sorted(found.items())}


def picture(folder: Path, name: str) -> NDArray[np.uint8]:
    """Return one photograph in sRGB. Raises FileNotFoundError where there is none."""
    bgr = cv2.imread(str(folder / "images" / name))
    if bgr is None:
        raise FileNotFoundError(folder / "images" / name)
    return np.asarray(cv2.cvtColor(bgr, cv2.COLOR_BGR2RGB), np.uint8)


def caught(rgb: NDArray[np.uint8], points: Points, net: cv2.dnn.Net) -> Iterator[tuple[Row, float]]:
    """Yield the share caught in one photograph: each version, with everything, without learning, without faces too."""
    for version, alter in VERSIONS.items():
        altered = np.ascontiguousarray(alter(rgb))
        for kind, found in _maps(altered, net):
            yield (version, kind), _share(boxes(found, size_of(rgb), COUNT, AREA), points)


def _maps(rgb: NDArray[np.uint8], net: cv2.dnn.Net) -> Iterator[tuple[str, Map]]:
    classical, faces, shape = classical_map(rgb), find_faces(rgb), (rgb.shape[0], rgb.shape[1])
    yield "all", blended(shape, classical, run(net, rgb), faces)
    yield "learned off", blended(shape, classical, None, faces)
    yield "faces off too", blended(shape, classical, None)


def _share(rects: Boxes, points: Points) -> float:
    x, y = points.T
    inside = [(x >= left) & (x < left + w) & (y >= top) & (y < top + h) for left, top, w, h in rects]
    return float(np.any(inside, axis=0).mean())


def print_table(found: Iterable[tuple[Row, float]]) -> None:
    rows = defaultdict(list)
    for row, share in found:
        rows[row].append(share)
    kinds = list(dict.fromkeys(kind for _, kind in rows))
    print(f"{'':16}" + "".join(f"{kind:>15}" for kind in kinds))
    for version in VERSIONS:
        print(f"{version:16}" + "".join(f"{np.mean(rows[version, kind]):15.4f}" for kind in kinds), flush=True)


def main() -> None:
    folder, net = Path(sys.argv[1]), loaded(MODEL)
    every = fixations(folder).items()
    print_table(row for name, points in every for row in caught(picture(folder, name), points, net))


if __name__ == "__main__":
    main()
