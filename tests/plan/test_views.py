"""One rectangle for every frame of a slot."""

from __future__ import annotations

import numpy as np
import pytest

from kenburns.motion.geometry import Rect
from kenburns.plan.document import Plan
from kenburns.plan.views import slot_exposures, slot_path, smallest_scale


def test_a_push_in_goes_from_stop_to_stop_and_holds_there(small_plan: Plan) -> None:
    path = slot_path(small_plan.slots[0], small_plan.frame)
    # Hand-worked: held on frames 0 and 1, there on frame 4. Even visual speed halves the width in three equal ratios.
    np.testing.assert_allclose(path[:, 2], [640, 640, 640 / 2 ** (1 / 3), 640 / 2 ** (2 / 3), 320], rtol=1e-12)
    np.testing.assert_array_equal(path[[0, 1, 4]], [(0, 0, 640, 360), (0, 0, 640, 360), (160, 90, 320, 180)])


def test_views_are_the_rows_of_the_path(small_plan: Plan) -> None:
    slot = small_plan.slots[0]
    rows = slot_path(slot, small_plan.frame).tolist()
    assert slot_exposures(slot, small_plan.frame, 0) == [(Rect(*row),) for row in rows]


def test_the_smallest_scale_is_that_of_the_closest_frame_and_a_card_has_none(small_plan: Plan) -> None:
    assert [smallest_scale(slot, small_plan) for slot in small_plan.slots] == [1.0, None]


def test_a_card_has_no_path(small_plan: Plan) -> None:
    with pytest.raises(ValueError, match="slot '02' is a card"):
        slot_path(small_plan.slots[1], small_plan.frame)
