from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.reel_film import slot
from kenburns.deliver.reel_spans import left_out, spans
from kenburns.plan.document import PlannedSlot


def seen(slots: list[PlannedSlot], start: int, frames: int) -> list[tuple[str, int, int, int]]:
    return [(span.slot.slot, span.first, span.end, span.skip) for span in spans(slots, start, frames)]


def test_slots_stand_where_their_start_says_counted_from_the_reels_first_frame() -> None:
    assert seen([slot("a", 110, 10), slot("b", 120, 5)], 100, 50) == [("a", 10, 20, 0), ("b", 20, 25, 0)]


def test_what_lies_before_or_after_the_reel_is_cut_off() -> None:
    slots = [slot("a", 95, 10), slot("b", 145, 10), slot("c", 10, 5), slot("d", 150, 5)]
    assert seen(slots, 100, 50) == [("a", 0, 5, 5), ("b", 45, 50, 0)]
    assert left_out(slots, 100, 50) == (
        "slot 'a': 5 of its 10 frames lie before the reel's first frame and are left out",
        "slot 'b': 5 of its 10 frames lie after its last and are left out",
        "slot 'c': all its 5 frames lie before the reel's first frame and are left out",
        "slot 'd': all its 5 frames lie after its last and are left out",
    )


def test_a_later_slot_covers_an_earlier_one_which_goes_on_below_it() -> None:
    assert seen([slot("a", 0, 30), slot("b", 10, 5)], 0, 30) == [("a", 0, 10, 0), ("b", 10, 15, 0), ("a", 15, 30, 15)]


def test_a_card_covers_a_still_even_one_that_starts_later() -> None:
    slots = [slot("card", 0, 20, kind="card"), slot("still", 10, 20)]
    assert seen(slots, 0, 40) == [("card", 0, 20, 0), ("still", 20, 30, 10)]


@settings(max_examples=60)
@given(
    st.lists(st.tuples(st.integers(-20, 60), st.integers(1, 30), st.booleans()), max_size=6),
    st.integers(-5, 5),
    st.integers(1, 50),
)
def test_every_frame_shows_the_top_slot_that_covers_it(
    given_slots: list[tuple[int, int, bool]], start: int, frames: int
) -> None:
    slots = [
        slot(str(i), first, length, kind="card" if card else "clip")
        for i, (first, length, card) in enumerate(given_slots)
    ]
    shown: list[tuple[str, int] | None] = [None] * frames
    for span in spans(slots, start, frames):
        for number in range(span.first, span.end):
            assert shown[number] is None
            shown[number] = (span.slot.slot, span.skip + number - span.first)
    for number in range(frames):
        film = number + start
        covering = [each for each in slots if each.start <= film < each.start + each.frames]
        if not covering:
            assert shown[number] is None
            continue
        best = max((each.kind == "card", each.start) for each in covering)
        # max() keeps the first of equals, as the timeline keeps them on the lower track's order
        top = next(each for each in covering if (each.kind == "card", each.start) == best)
        assert shown[number] == (top.slot, film - top.start)
