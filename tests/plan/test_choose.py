"""The move of a slot for which nobody has named one."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from kenburns.motion.shots import KINDS
from kenburns.plan.choose import CUT, HOLD, choose_kind

MOVES = [kind for kind in KINDS if kind not in (HOLD, "detail", "tour")]

possible_moves = st.lists(st.sampled_from(MOVES), unique=True, min_size=1)
befores = st.frozensets(st.sampled_from([*MOVES, HOLD]), max_size=3)
lengths = st.floats(0.04, 60)


@given(st.text(max_size=20), possible_moves, befores, lengths)
def test_a_move_of_the_slot_before_is_never_chosen(
    slot: str, possible: list[str], before: frozenset[str], seconds: float
) -> None:
    chosen = choose_kind(slot, possible, before, seconds)
    assert chosen == HOLD or chosen in possible
    assert chosen == HOLD or chosen not in before


@given(st.text(max_size=20), possible_moves, befores, lengths)
def test_a_slot_holds_only_where_no_other_move_is_left(
    slot: str, possible: list[str], before: frozenset[str], seconds: float
) -> None:
    left = set(possible) - before - ({CUT} if seconds < 8 else set())
    assert (choose_kind(slot, possible, before, seconds) == HOLD) == (not left)


@given(st.text(max_size=20), lengths)
def test_without_room_to_move_a_slot_holds(slot: str, seconds: float) -> None:
    assert choose_kind(slot, (HOLD,), (), seconds) == HOLD


def test_a_cut_to_the_detail_needs_eight_seconds() -> None:
    assert choose_kind("12", MOVES, (), 8.0) == CUT
    assert choose_kind("12", MOVES, (), 7.99) != CUT


def test_the_choice_follows_from_the_slots_name_and_many_names_use_every_move() -> None:
    chosen = {f"{n:02}": choose_kind(f"{n:02}", MOVES, (), 5.0) for n in range(1, 60)}
    assert set(chosen.values()) == set(MOVES) - {CUT}
    assert all(choose_kind(slot, MOVES, (), 5.0) == kind for slot, kind in reversed(chosen.items()))
