"""Cut list, photographs and hand edits become a plan."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.cutlist.match import Match
from kenburns.motion.geometry import Rect
from kenburns.motion.shots import KINDS
from kenburns.plan.choose import CUT
from kenburns.plan.document import Plan, PlannedSlot
from kenburns.plan.views import slot_path, smallest_scale

PlanIt = Callable[..., Plan]

SEA = {"sea.jpg": (1600, 900)}
LEFT, RIGHT = Rect(100, 300, 400, 225), Rect(1000, 300, 400, 225)


def last_view(plan: Plan, slot: int = 0) -> Rect:
    return Rect(*slot_path(plan.slots[slot], plan.frame)[-1].tolist())


def kind_of(slot: PlannedSlot) -> str:
    return CUT if len(slot.shots) > 1 else slot.shots[0].kind


def test_a_certain_match_becomes_a_clip_that_says_how_it_was_found(plan_it: PlanIt) -> None:
    slot = plan_it(SEA, [("01", "sea.jpg", "push in")]).slots[0]
    assert (slot.kind, slot.file, slot.card) == ("clip", "01.mp4", None)
    assert slot.still is not None
    assert (slot.still.file, slot.still.size.width, slot.still.matched_by) == ("sea.jpg", 1600, "file name")
    assert slot.flags == ()


@pytest.mark.parametrize("score", [60.0, 89.9, 100.0])
def test_an_uncertain_match_is_never_a_clip_and_its_card_names_candidate_and_score(
    plan_it: PlanIt, score: float
) -> None:
    match = Match("sea.jpg", score, "title", certain=False, candidates=(("sea.jpg", score), ("hill.jpg", 55.0)))
    slot = plan_it(SEA, [("01", "", "")], matches=[match]).slots[0]
    assert (slot.kind, slot.still, slot.shots) == ("card", None, ())
    assert slot.card is not None
    assert slot.card.reason == f"uncertain match: perhaps 'sea.jpg' ({score:.0f}) or 'hill.jpg' (55)"
    assert slot.flags == (slot.card.reason,)


def test_a_still_named_in_the_film_file_makes_an_uncertain_slot_a_clip(plan_it: PlanIt) -> None:
    sizes = {"sea at noon.jpg": (1600, 900), "sea at night.jpg": (1600, 900)}
    assert plan_it(sizes, [("01", "sea", "")]).slots[0].kind == "card"
    slot = plan_it(sizes, [("01", "sea", "")], {"slots": {"01": {"still": "sea at night.jpg"}}}).slots[0]
    assert slot.kind == "clip"
    assert slot.still is not None
    assert slot.still.file == "sea at night.jpg"


def test_a_missing_photograph_gives_a_card_with_its_times(plan_it: PlanIt) -> None:
    slot = plan_it({}, [("01", "", "")], length=125, first=90_000).slots[0]
    assert slot.card is not None
    # 90,000 frames at 25 a second are one hour (SMPTE ST 12-1 counts 25 frames a second there)
    assert (slot.card.start_timecode, slot.card.end_timecode) == ("01:00:00:00", "01:00:05:00")
    assert slot.card.length == "5.00 s · 125 frames"
    assert slot.card.reason == "no photograph yet"


def test_the_film_files_word_on_shot_easing_and_note_comes_before_the_cut_lists(plan_it: PlanIt) -> None:
    edit = {"slots": {"01": {"shot": "tilt", "easing": "cubic", "note": "slowly"}}}
    slot = plan_it({"sea.jpg": (1600, 1600)}, [("01", "sea.jpg", "push in")], edit).slots[0]
    assert [(shot.kind, shot.easing) for shot in slot.shots] == [("tilt", "cubic")]
    assert slot.note == "slowly"


def test_head_and_tail_set_by_hand_are_held_to_the_frame(plan_it: PlanIt) -> None:
    edit = {"slots": {"01": {"head": 0.8, "tail": 0.4}}}
    plan = plan_it(SEA, [("01", "sea.jpg", "push in")], edit, speed_limit=False)
    path = slot_path(plan.slots[0], plan.frame)
    assert (path[:20] == path[0]).all()  # 0.8 s at 25 frames a second
    assert (path[-10:] == path[-1]).all()
    assert not (path[20] == path[0]).all()
    assert not (path[-11] == path[-1]).all()


def test_details_visited_by_number_come_in_the_order_asked_for(plan_it: PlanIt) -> None:
    details = {"sea.jpg": (LEFT, RIGHT)}
    first = plan_it(SEA, [("01", "sea.jpg", "push in")], details=details, speed_limit=False)
    assert last_view(first) == LEFT
    edit = {"slots": {"01": {"details": [2]}}}
    second = plan_it(SEA, [("01", "sea.jpg", "push in")], edit, details=details, speed_limit=False)
    assert last_view(second) == RIGHT


def test_a_detail_number_that_is_not_there_is_flagged(plan_it: PlanIt) -> None:
    edit = {"slots": {"01": {"details": [2, 5, 7]}}}
    plan = plan_it(SEA, [("01", "sea.jpg", "push in")], edit, details={"sea.jpg": (LEFT, RIGHT)}, speed_limit=False)
    assert plan.slots[0].flags == ("detail 5 and 7 is not there: 'sea.jpg' has 2 details",)
    assert last_view(plan) == RIGHT


def test_an_outline_set_by_hand_is_the_whole_that_the_shot_shows(plan_it: PlanIt) -> None:
    edit = {"stills": {"sea.jpg": {"outline": [200, 100, 800, 450]}}}
    plan = plan_it(SEA, [("01", "sea.jpg", "hold")], edit)
    assert last_view(plan) == Rect(200, 100, 800, 450)


def test_an_area_set_by_hand_that_leaves_the_picture_is_flagged(plan_it: PlanIt) -> None:
    edit = {
        "stills": {"sea.jpg": {"outline": [200, 100, 1600, 450], "details": [[0, 0, 400, 225], [0, 800, 400, 225]]}}
    }
    flags = plan_it(SEA, [("01", "sea.jpg", "hold")], edit).slots[0].flags
    assert [flag.split(" set by hand")[0] for flag in flags] == [
        "'sea.jpg' is 1600×900 px and its outline",
        "'sea.jpg' is 1600×900 px and its detail 2",
    ]


def test_a_shot_nobody_knows_is_flagged_and_another_is_chosen(plan_it: PlanIt) -> None:
    slot = plan_it(SEA, [("01", "sea.jpg", "whirl")]).slots[0]
    assert slot.kind == "clip"
    assert slot.flags[0].startswith("shot 'whirl' is not known; use 'hold', 'push in'")
    assert slot.flags[0].endswith("a move was chosen instead")


def test_a_photograph_smaller_than_the_frame_is_a_clip_at_one_to_one_and_flagged(plan_it: PlanIt) -> None:
    plan = plan_it({"low.jpg": (200, 100)}, [("01", "low.jpg", "push in")])
    assert smallest_scale(plan.slots[0], plan) == 1.0
    assert plan.slots[0].flags == ("'low.jpg' 200×100 px; a 320×180 frame needs at least 320×180: ask for 360×180",)
    assert (slot_path(plan.slots[0], plan.frame) == (-60.0, -40.0, 320.0, 180.0)).all()


sides = st.integers(100, 3000)


@settings(max_examples=60)
@given(st.lists(st.tuples(sides, sides), min_size=2, max_size=6), st.booleans(), st.sampled_from([25, 100, 225]))
def test_neighbouring_slots_without_a_shot_never_repeat_a_move(
    plan_it: PlanIt, sizes: list[tuple[int, int]], with_detail: bool, length: int
) -> None:
    named = {f"{n}.jpg": size for n, size in enumerate(sizes)}
    middle = {name: (Rect(w / 2 - 160, h / 2 - 90, 320, 180),) for name, (w, h) in named.items() if w > 320 and h > 180}
    slots = [(f"slot {n}", name, "") for n, name in enumerate(named)]
    plan = plan_it(named, slots, length=length, details=middle if with_detail else {})
    for slot, after in pairwise(plan.slots):
        moves = {shot.kind for shot in slot.shots} | {kind_of(slot)}
        assert kind_of(after) == "hold" or kind_of(after) not in moves


def test_long_slots_do_not_all_become_a_whole_and_a_detail(plan_it: PlanIt) -> None:
    slots = [(f"{n:02}", "sea.jpg", "") for n in range(4)]
    plan = plan_it(SEA, slots, length=225, details={"sea.jpg": (LEFT,)})
    kinds = [kind_of(slot) for slot in plan.slots]
    assert kinds[0] == kinds[2] == CUT
    assert CUT not in (kinds[1], kinds[3])
    assert "push in" not in (kinds[1], kinds[3])  # which is how the detail was shown


def test_a_slots_move_does_not_depend_on_where_it_stands(plan_it: PlanIt) -> None:
    sizes = {f"{n}.jpg": (1600, 1200) for n in range(3)}
    alone = [plan_it(sizes, [(f"s{n}", f"{n}.jpg", "")], first=start) for n in range(3) for start in (0, 5000)]
    assert all(early.slots[0].shots == late.slots[0].shots for early, late in zip(alone[::2], alone[1::2], strict=True))


@settings(max_examples=60)
@given(st.sampled_from(KINDS), st.tuples(sides, sides), st.integers(0, 30), st.integers(1, 80), st.booleans())
def test_every_clip_has_its_frames_with_handles_and_never_enlarges_a_pixel(
    plan_it: PlanIt, kind: str, size: tuple[int, int], handles: int, length: int, limited: bool
) -> None:
    details = {"a.jpg": (Rect(0, 0, 320, 180),)}
    plan = plan_it(
        {"a.jpg": size}, [("1", "a.jpg", kind)], length=length, handles=handles, details=details, speed_limit=limited
    )
    path = slot_path(plan.slots[0], plan.frame)
    assert path.shape == (length + 2 * handles, 4)
    assert (path[:, 2] >= 320).all()
    assert (path[:, 3] >= 180).all()
    scale = smallest_scale(plan.slots[0], plan)
    assert scale is not None
    assert scale >= 1


def test_the_move_reaches_into_the_handles(plan_it: PlanIt) -> None:
    edit = {"slots": {"01": {"head": 0, "tail": 0, "easing": "linear"}}}
    plan = plan_it(SEA, [("01", "sea.jpg", "push in")], edit, length=50, handles=12)
    path = slot_path(plan.slots[0], plan.frame)
    assert path.shape == (74, 4)
    assert (np.diff(path[:, 2]) < 0).all()  # closer on every frame, those of the handles included


def test_a_cut_within_a_slot_falls_in_the_middle_of_the_slot_with_and_without_handles(plan_it: PlanIt) -> None:
    for handles in (0, 12):
        plan = plan_it(SEA, [("01", "sea.jpg", CUT)], details={"sea.jpg": (LEFT,)}, handles=handles)
        assert [shot.frames for shot in plan.slots[0].shots] == [50 + handles, 50 + handles]
