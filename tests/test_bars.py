"""What is shown while a film is made."""

from __future__ import annotations

import gc

import pytest
from rich.text import Text

from kenburns.bars import film_progress
from kenburns.plan.document import Plan


def test_of_many_slots_the_last_finished_and_all_that_are_not_have_a_bar(
    small_plan: Plan, capsys: pytest.CaptureFixture[str]
) -> None:
    ids = [f"slot {number:02}" for number in range(40)]
    slots = tuple(small_plan.slots[0].model_copy(update={"slot": each}) for each in ids)
    with film_progress(small_plan.model_copy(update={"slots": slots})) as report:
        for each in ids:
            report(each, 1, 5)
        for each in ids[:30]:
            report(each, 5, 5)
            report(each, 5, 5)
    shown = [line[:7] for line in capsys.readouterr().err.splitlines() if line.startswith("slot ")]
    assert shown == ids[22:]  # eight finished, and ten that are not


def test_nothing_that_was_drawn_of_bars_taken_away_is_held(small_plan: Plan) -> None:
    ids = [f"slot {number:03}" for number in range(120)]
    slots = tuple(small_plan.slots[0].model_copy(update={"slot": each}) for each in ids)
    held: list[int] = []
    with film_progress(small_plan.model_copy(update={"slots": slots})) as report:
        for each in ids:
            report(each, 1, 5)
            report(each, 5, 5)
            if each in (ids[40], ids[-1]):
                gc.collect()
                held.append(sum(isinstance(thing, Text) for thing in gc.get_objects()))
    assert held[1] - held[0] < len(ids) - 40  # not one a bar; what is being drawn just then may be among them
