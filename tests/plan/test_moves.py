"""What is remembered of moves: a film planned again is the film planned for the first time."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.motion.geometry import Rect
from kenburns.motion.path import Shot
from kenburns.motion.shots import plan_shots
from kenburns.plan import moves
from kenburns.plan.document import Plan
from kenburns.plan.moves import Moves
from kenburns.remembered import Remembered

SIZES = {"sea.jpg": (1600, 1200), "salt.jpg": (900, 1500)}
SLOTS = (("1", "sea.jpg", ""), ("2", "salt.jpg", ""), ("3", "sea.jpg", "pan"))
DETAILS = {"sea.jpg": (Rect(900, 500, 640, 360), Rect(100, 100, 480, 270))}

edits = st.fixed_dictionaries(
    {},
    optional={
        "shot": st.sampled_from(["hold", "push in", "pull out", "pan", "tour", "whole, then detail"]),
        "easing": st.sampled_from(["linear", "cubic"]),
        "head": st.sampled_from([0, 0.4, 1.2]),
        "details": st.sampled_from([[1], [2], [2, 1]]),
        "cue": st.sampled_from([[1.5], [1.0, 2.5]]),
        "pacing": st.just("steady"),
        "stops": st.sampled_from([[[0, 0, 1600, 900], [200, 100, 640, 360]], [[-40, 60, 960, 540]]]),
    },
)


@settings(max_examples=60)
@given(one=edits, other=edits, handles=st.sampled_from([0, 12]), length=st.sampled_from([30, 100]))
def test_a_film_planned_after_others_is_planned_as_if_it_were_the_first(
    plan_it: Callable[..., Plan], one: dict[str, Any], other: dict[str, Any], handles: int, length: int
) -> None:
    def planned(known: Moves) -> Plan:
        film = {"slots": {"1": one, "3": other}}
        return plan_it(SIZES, SLOTS, film, details=DETAILS, handles=handles, length=length, known=known)

    known = Moves()
    plan_it(SIZES, SLOTS, details=DETAILS, known=known)
    first = planned(known)
    from_before = Moves(Remembered(known.shots.used), Remembered(known.kinds.used))
    assert planned(Moves()) == first == planned(known) == planned(from_before)


def test_after_one_edit_only_the_moves_that_it_touches_are_worked_out(
    plan_it: Callable[..., Plan], monkeypatch: pytest.MonkeyPatch
) -> None:
    known = Moves()
    plan_it(SIZES, SLOTS, details=DETAILS, known=known)
    asked: list[str] = []

    def counted(kind: str, *others: Any) -> tuple[Shot, ...]:
        asked.append(kind)
        return plan_shots(kind, *others)

    monkeypatch.setattr(moves, "plan_shots", counted)
    plan_it(SIZES, SLOTS, {"slots": {"3": {"easing": "linear"}}}, details=DETAILS, known=known)
    assert asked == ["pan"]
