"""Proposals on the package's own map, for a judge that counts how many human fixations they catch.

Each of `count` rectangles covers the share `area` of the picture in the picture's own aspect.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from kenburns.motion.geometry import Size, bounds
from kenburns.stills.details import best_places
from kenburns.stills.saliency import saliency


def propose(rgb: NDArray[np.uint8], count: int, area: float) -> list[tuple[float, float, float, float]]:
    still = Size(rgb.shape[1], rgb.shape[0])
    size = still.width * area**0.5, still.height * area**0.5
    places = best_places(saliency(rgb), still, bounds(still), size, count)
    return [(d.rect.x, d.rect.y, d.rect.width, d.rect.height) for d in places]
