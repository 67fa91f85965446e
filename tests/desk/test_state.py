"""What the page is told: the same film that renders, in the words and numbers of the plan."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kenburns.desk.paths import slot_motion
from kenburns.desk.state import EASINGS, edit_of, film_state, photograph_id
from kenburns.motion.easing import easing
from kenburns.plan.views import slot_path
from kenburns.prepare import Options, Prepared, prepare
from kenburns.records import load_records


@pytest.fixture(scope="module")
def prepared(film_template: Path, tmp_path_factory: pytest.TempPathFactory) -> Prepared:
    film_folder = Path(shutil.copytree(film_template, tmp_path_factory.mktemp("state") / "film"))
    with (film_folder / "film.toml").open("a", encoding="utf-8") as film:
        film.write('\n[slots."01"]\npacing = "gentle"\nhead = 0.2\n[slots."02"]\nshot = "whole, then detail"\n')
        film.write('[stills."linen.png"]\noutline = [100, 100, 1600, 700]\nsquare_up = true\n')
        film.write('[slots."03"]\nstill = "spare.png"\n')
    return prepare(film_folder, Options(), load_records(film_folder / "out" / ".desk"))


@pytest.fixture(scope="module")
def state(prepared: Prepared) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(json.dumps(film_state(prepared), allow_nan=False))
    return document


def test_the_film_is_told_as_it_is_planned(state: dict[str, Any], prepared: Prepared) -> None:
    assert state["title"] == "Salt and Linen"
    assert (state["frame"], state["rate"], state["codec"]) == ({"width": 640, "height": 360}, "25/1", "review")
    assert state["limit"] == pytest.approx(640 / (7 * 25))  # a frame width in seven seconds
    assert [slot["slot"] for slot in state["slots"]] == ["01", "02", "03", "04"]
    assert [slot["start_timecode"] for slot in state["slots"]][:2] == ["00:00:10:00", "00:00:12:00"]
    assert [slot["frames"] for slot in state["slots"]] == [50, 50, 50, 25]
    assert [slot["seconds"] for slot in state["slots"]] == [2.0, 2.0, 2.0, 1.0]
    assert state["slots"][1]["shots"] == [shot.model_dump(mode="json") for shot in prepared.plan.slots[1].shots]


def test_a_slot_has_what_was_set_by_hand_and_null_where_nothing_was(state: dict[str, Any]) -> None:
    hand = state["slots"][0]["by_hand"]
    assert hand == {
        "still": None,
        "shot": None,
        "easing": None,
        "head": 0.2,
        "tail": None,
        "details": [],
        "stops": [],
        "cue": [],
        "pacing": "gentle",
        "direction": None,
        "note": "",
    }


def test_photographs_are_named_by_ids_that_tell_no_path_and_know_their_slots(state: dict[str, Any]) -> None:
    photographs = {photo["name"]: photo for photo in state["photographs"]}
    assert photographs["harbour.png"]["used_by"] == ["01"]
    assert photographs["linen.png"]["used_by"] == []
    assert state["slots"][0]["photograph"] == photographs["harbour.png"]["id"] == photograph_id("harbour.png")
    assert all(photo["id"].isalnum() for photo in state["photographs"])


def test_a_slot_chosen_by_hand_still_has_the_candidates_of_the_cut_list(state: dict[str, Any]) -> None:
    slot = state["slots"][2]
    assert slot["photograph"] == photograph_id("spare.png")
    assert slot["candidates"][0]["name"] == "linen.png"


def test_a_slot_without_a_photograph_is_a_card_that_asks_for_attention(state: dict[str, Any]) -> None:
    slot = state["slots"][3]
    assert (slot["kind"], slot["verdict"], slot["photograph"], slot["attention"]) == ("card", "missing", None, True)
    assert slot["flags"]


def test_a_photograph_squared_up_has_its_own_size_and_the_one_taken(state: dict[str, Any]) -> None:
    linen = next(photo for photo in state["photographs"] if photo["name"] == "linen.png")
    assert (linen["width"], linen["height"], linen["square_up"]) == (1600, 700, True)
    assert linen["taken"] == {"width": 1800, "height": 900}
    assert linen["outline"] == [[100, 100], [1700, 100], [1700, 800], [100, 800]]
    assert linen["outline_by_hand"]


def test_every_easing_that_is_offered_is_known(state: dict[str, Any]) -> None:
    assert tuple(state["easings"]) == EASINGS
    for name in EASINGS:
        assert easing(name)(np.array([0.0, 1.0])).tolist() == [0, 1]
    assert {"steady", "gentle", "free"} <= set(state["pacings"])


def test_the_motion_played_is_the_one_that_renders(prepared: Prepared) -> None:
    motion = slot_motion(prepared, 0)
    assert np.array_equal(motion["frames"], slot_path(prepared.plan.slots[0], prepared.plan.frame))
    assert len(motion["speeds"]) == len(motion["frames"]) - 1 == 49
    assert motion["scale"] >= 1
    assert max(motion["speeds"]) <= motion["limit"] * (1 + 1e-9)
    assert motion["limit"] < 640 / (7 * 25)  # the slot's own pacing is gentler than the film's


def test_nothing_moves_across_a_cut_within_a_slot(prepared: Prepared) -> None:
    motion = slot_motion(prepared, 1)
    assert motion["cuts"] == [25]
    assert motion["speeds"][24] == 0
    jump = np.abs(np.subtract(motion["frames"][25], motion["frames"][24])).max()
    assert jump > 1


def test_a_card_has_no_motion(prepared: Prepared) -> None:
    assert slot_motion(prepared, 3) == {
        "frames": [],
        "handles": 0,
        "scale": None,
        "speeds": [],
        "limit": None,
        "cuts": [],
        "card": True,
    }
    with pytest.raises(IndexError):
        slot_motion(prepared, 4)


def test_a_pan_across_handles_has_a_view_for_each_of_them(film_folder: Path) -> None:
    text = (film_folder / "film.toml").read_text(encoding="utf-8").replace("rate = 25", "rate = 25\nhandles = 6")
    (film_folder / "film.toml").write_text(text, encoding="utf-8")
    motion = slot_motion(prepare(film_folder, Options()), 2)
    assert (motion["handles"], len(motion["frames"])) == (6, 62)


def test_an_edit_is_found_under_the_id_that_a_slot_had_in_the_last_cut(prepared: Prepared) -> None:
    now = replace(prepared, were={"02": prepared.plan.slots[0]})  # what is slot 02 now was slot 01
    assert edit_of("02", now).pacing == "gentle"
    assert edit_of("01", now).pacing is None
