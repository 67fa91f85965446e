"""keyframes.json: read back with json, and played back to the path that is rendered."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import numpy as np

from kenburns.deliver.keyframes import keyframes_json
from kenburns.motion.geometry import Rect, Size
from kenburns.motion.keyframes import Keyframe, farthest_corner, play
from kenburns.motion.shots import Pace, plan_shots
from kenburns.plan.document import Plan, PlannedShot
from kenburns.plan.views import slot_path


def read(plan: Plan) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(keyframes_json(plan))
    return found


def test_the_document_is_as_the_contract_has_it(small_plan: Plan) -> None:
    # The plan's push in rests on frames 0 and 1 and goes evenly (in its width's logarithm) to frame 4.
    document = read(small_plan)
    (slot,) = document.pop("slots")
    assert document == {"version": 1, "frame": {"width": 320, "height": 180}, "rate": "25/1"}
    (shot,) = slot.pop("shots")
    assert slot == {"slot": "01", "file": "01.mp4", "still": {"file": "sea.png", "width": 640, "height": 360}}
    keyframes = shot.pop("keyframes")
    assert shot == {"kind": "push in", "first_frame": 0, "frames": 5}
    assert keyframes[0] == {"frame": 0, "x": 0.0, "y": 0.0, "width": 640.0, "height": 360.0, "easing": "hold"}
    assert keyframes[-1] == {"frame": 4, "x": 160.0, "y": 90.0, "width": 320.0, "height": 180.0, "easing": "hold"}
    assert keyframes[1]["frame"] == 1


def test_cards_have_no_entry(small_plan: Plan) -> None:
    assert [slot["slot"] for slot in read(small_plan)["slots"]] == ["01"]


def test_played_one_after_the_other_the_shots_of_a_slot_are_its_path(small_plan: Plan) -> None:
    clip, card = small_plan.slots
    assert clip.still is not None
    still = replace(clip.still, width=1600, height=1200)
    pace = Pace("sine", 4, 4, 4, None, 1.25)
    shots = plan_shots("whole, then detail", Size(1600, 1200), [Rect(200, 100, 640, 360)], Size(320, 180), 81, pace)
    slot = clip.model_copy(
        update={"still": still, "frames": 81, "shots": tuple(PlannedShot.of(shot) for shot in shots)}
    )
    plan = small_plan.model_copy(update={"slots": (slot, card)})
    (entry,) = read(plan)["slots"]
    assert [(shot["first_frame"], shot["frames"]) for shot in entry["shots"]] == [(0, 40), (40, 41)]
    played = [play([Keyframe(**keyframe) for keyframe in shot["keyframes"]], shot["frames"]) for shot in entry["shots"]]
    assert farthest_corner(np.concatenate(played), slot_path(slot, plan.frame)) <= 0.1
