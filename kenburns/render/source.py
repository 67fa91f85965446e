"""From a photograph's file, or a drawn picture, to the planes that its views are drawn from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from ..motion.geometry import Rect, Size, bounds
from ..stills.littlecms import Intent
from ..stills.open import Photograph, open_pixels
from .ahead import ahead
from .frames import Raster
from .levels import Pyramid, area_to_read, needed_areas
from .pyramid import build

_STRIP = 1 << 21  # pixels of a strip, about: enough to be quick, little beside the planes
_STRIPS_AHEAD = 1  # decoded while the planes are built from those before


def photograph_pyramid(
    photograph: Photograph, views: Iterable[Rect], raster: Raster, matte: tuple[int, int, int], intent: Intent
) -> Pyramid:
    """Return what `views` of a photograph are drawn from; PhotographError where it cannot be read.

    The photograph is decoded once, in strips, and never held whole.
    """
    areas = needed_areas(views, raster.frame, photograph.size)
    area = area_to_read(areas, photograph.size)
    width, height = area.right - area.left, area.bottom - area.top
    rows = max(_STRIP // width, 16)
    strips = open_pixels(photograph, matte, intent).strips(area.left, area.top, width, height, rows)
    return build(ahead((strip for _, strip in strips), _STRIPS_AHEAD), areas, photograph.size, raster.sampling)


def picture_pyramid(picture: NDArray[np.uint8], raster: Raster, views: Sequence[Rect] = ()) -> Pyramid:
    """Return what views of a picture (rows, columns, 3), sRGB, are drawn from; without any, the whole at 1:1."""
    size = Size(picture.shape[1], picture.shape[0])
    areas = needed_areas(views or [bounds(size)], raster.frame if views else size, size)
    return build([picture], areas, size, raster.sampling)
