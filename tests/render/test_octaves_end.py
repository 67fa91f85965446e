"""Every octave is filled to its last row, however the photograph comes in and however deep the octave lies."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from kenburns.render.levels import SAMPLINGS, Area
from kenburns.render.octaves import octaves

UNFILLED = 12_345


@pytest.mark.parametrize("sampling", ["420", "422", "444"])
@pytest.mark.parametrize("rows", [1, 3, 64, 256])
@pytest.mark.parametrize(("width", "height"), [(96, 640), (70, 900), (40, 257), (99, 1037)])
def test_a_flat_photograph_is_flat_in_every_plane_of_every_octave(
    sampling: str, rows: int, width: int, height: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    def marked(shape: Any, dtype: Any = float) -> Any:
        return np.full(shape, UNFILLED if dtype == np.uint16 else 0, dtype)

    whole = Area(0, 0, width, height)
    picture = np.full((height, width, 3), (200, 60, 30), np.uint8)
    monkeypatch.setattr(np, "empty", marked)
    strips = [picture[top : top + rows] for top in range(0, height, rows)]
    levels = octaves(strips, {2.0**k: whole for k in range(5)}, whole, SAMPLINGS[sampling])
    assert levels.keys() == {1, 2, 4, 8, 16}
    for level in levels.values():
        for plane in (level.luma, level.blue, level.red):
            # 16-bit codes; a row left out or never filled would stand out by thousands
            assert int(plane.samples.max()) - int(plane.samples.min()) <= 64
