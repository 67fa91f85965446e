"""paths/<slot>.csv: one row a frame, each number the very one that was rendered."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from kenburns.deliver.motion_table import HEADER, motion_table, write_motion_tables
from kenburns.plan.document import Plan
from kenburns.plan.views import slot_path

paths = arrays.arrays(np.float64, st.tuples(st.integers(1, 9), st.just(4)), elements=st.floats(allow_nan=False))


def read(text: str) -> tuple[list[str], list[list[str]]]:
    header, *rows = csv.reader(io.StringIO(text), strict=True)
    return header, rows


@given(paths)
def test_every_number_reads_back_to_the_very_same_value(
    path: np.ndarray[tuple[int, int], np.dtype[np.float64]],
) -> None:
    _, rows = read(motion_table(path))
    assert [int(row[0]) for row in rows] == list(range(len(path)))
    np.testing.assert_array_equal([[float(cell) for cell in row[1:]] for row in rows], path)


def test_the_table_is_as_the_contract_has_it() -> None:
    assert HEADER == "frame,x,y,width,height"
    assert motion_table(np.array([[0.1, 2.0, 320.0, 180.0]])) == "frame,x,y,width,height\n0,0.1,2.0,320.0,180.0\n"


def test_clips_have_a_table_of_their_path_and_cards_have_none(small_plan: Plan, tmp_path: Path) -> None:
    written = write_motion_tables(small_plan, tmp_path, ())
    assert list((tmp_path / "paths").iterdir()) == list(written) == [tmp_path / "paths" / "01.csv"]
    assert written[0].read_text() == motion_table(slot_path(small_plan.slots[0], small_plan.frame))


def test_the_table_of_a_slot_that_is_a_card_by_now_is_removed(small_plan: Plan, tmp_path: Path) -> None:
    write_motion_tables(small_plan, tmp_path, ())
    clip, card = small_plan.slots
    now_a_card = clip.model_copy(update={"still": None, "kind": "card", "shots": (), "card": card.card})
    cards_alone = small_plan.model_copy(update={"slots": (now_a_card, card)})
    write_motion_tables(cards_alone, tmp_path, ())
    assert (tmp_path / "paths" / "01.csv").is_file()  # for all we know a stranger's
    write_motion_tables(cards_alone, tmp_path, {"paths/01.csv"})
    assert list((tmp_path / "paths").iterdir()) == []
