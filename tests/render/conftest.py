"""Pictures drawn without a file: what the renderer's tests measure."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from kenburns.motion.geometry import Rect, Size
from kenburns.render.frames import Raster, draw, output_codes
from kenburns.render.levels import SAMPLINGS, area_to_read, needed_areas
from kenburns.render.octaves import Strip
from kenburns.render.pyramid import build

Drawer = Callable[..., list[NDArray[Any]]]


def _draw(
    picture: Strip,
    views: Sequence[Rect | tuple[Rect, ...]],
    frame: Size,
    sampling: str = "444",
    bits: int = 10,
    *,
    dither: bool = False,
    kernel: str = "crisp",
    matte: tuple[int, int, int] = (0, 0, 0),
    rows: int = 64,
    helpers: int = 0,
) -> list[list[NDArray[Any]]]:
    size = Size(picture.shape[1], picture.shape[0])
    exposures = [view if isinstance(view, tuple) else (view,) for view in views]
    areas = needed_areas([view for exposure in exposures for view in exposure], frame, size)
    area = area_to_read(areas, size)
    strips: list[Strip] = [
        picture[top : min(top + rows, area.bottom), area.left : area.right]
        for top in range(area.top, area.bottom, rows)
    ]
    pyramid = build(strips, areas, size, SAMPLINGS[sampling])
    raster = Raster(frame, SAMPLINGS[sampling], bits, dither)
    frames = []
    pools = [ThreadPoolExecutor(1) for _ in range(helpers)]
    for exposure in exposures:
        planes: list[NDArray[Any]] = [np.empty(shape, np.uint16 if bits > 8 else np.uint8) for shape in raster.shapes]
        draw(pyramid, exposure, raster, output_codes(raster), kernel, matte, planes, pools)
        frames.append(planes)
    for pool in pools:
        pool.shutdown()
    return frames


@pytest.fixture(scope="session")
def draw_views() -> Callable[..., list[list[NDArray[Any]]]]:
    """Draw views of a picture (h, w, 3) without a file: a list of [Y', Cb, Cr] planes a view."""
    return _draw
