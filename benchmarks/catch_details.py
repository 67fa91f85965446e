"""Proposals on the package's own map, for a judge that counts how many human fixations they catch.

Each of `count` rectangles covers the share `area` of the picture in the picture's own aspect. The judge names one of
the functions: all that the package knows, the learned map switched off, and faces switched off too.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kenburns.motion.geometry import Size, bounds
from kenburns.stills.interest.details import best_places
from kenburns.stills.interest.faces import find_faces
from kenburns.stills.interest.saliency import Map, saliency

Boxes = list[tuple[float, float, float, float]]


def propose(rgb: NDArray[np.uint8], count: int, area: float) -> Boxes:
    return boxes(saliency(rgb, faces=find_faces(rgb)), size_of(rgb), count, area)


def propose_unlearned(rgb: NDArray[np.uint8], count: int, area: float) -> Boxes:
    return boxes(saliency(rgb, learned=False, faces=find_faces(rgb)), size_of(rgb), count, area)


def propose_classical(rgb: NDArray[np.uint8], count: int, area: float) -> Boxes:
    return boxes(saliency(rgb, learned=False), size_of(rgb), count, area)


def size_of(rgb: NDArray[np.uint8]) -> Size:
    return Size(rgb.shape[1], rgb.shape[0])


def boxes(saliency_map: Map, still: Size, count: int, area: float) -> Boxes:
    """Return x, y, width and height of the best places in a picture, best first."""
    size = still.width * area**0.5, still.height * area**0.5
    places = best_places(saliency_map, still, bounds(still), size, count, together=True)
    return [(d.rect.x, d.rect.y, d.rect.width, d.rect.height) for d in places]
