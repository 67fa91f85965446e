"""plan.json, written and read back."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kenburns.errors import PlanFileError, RequestError
from kenburns.motion.geometry import Rect
from kenburns.plan.document import Plan, read_plan, write_plan
from kenburns.plan.views import slot_path

PlanIt = Callable[..., Plan]


@pytest.fixture
def plan(plan_it: PlanIt) -> Plan:
    details = {"sea.jpg": (Rect(1000 / 3, 200 / 7, 400, 225), Rect(1100, 600, 400, 225))}
    slots = [("01", "sea.jpg", "tour"), ("02", "", ""), ("03", "sea.jpg", "whole, then detail")]
    return plan_it({"sea.jpg": (1600, 900)}, slots, {"slots": {"02": {"note": "żółw ≥ 1:1"}}}, details=details)


def document(plan: Plan) -> dict[str, Any]:
    content: dict[str, Any] = json.loads(write_plan(plan))
    return content


def test_a_written_plan_reads_back_as_the_very_same_plan(plan: Plan, tmp_path: Path) -> None:
    file = tmp_path / "plan.json"
    file.write_text(write_plan(plan), encoding="utf-8")
    again = read_plan(file)
    assert again == plan
    assert write_plan(again) == write_plan(plan)
    assert all(
        (slot_path(slot, again.frame) == slot_path(same, plan.frame)).all()
        for slot, same in zip(again.slots, plan.slots, strict=True)
        if slot.still
    )


def test_the_document_says_its_version_and_its_rate_as_a_fraction(plan: Plan) -> None:
    content = document(plan)
    assert (content["version"], content["rate"]) == (1, "25/1")
    assert content["frame"] == {"width": 320, "height": 180}
    assert [slot["kind"] for slot in content["slots"]] == ["clip", "card", "clip"]
    assert content["slots"][0]["shots"][0]["stops"][0]["arrive"] == 0


@pytest.mark.parametrize(
    "change",
    [
        {"version": 2},
        {"version": "1"},
        {"slots": None},
        {"frame": {"width": 0, "height": 180}},
        {"handles": -1},
        {"colour": "red"},
    ],
)
def test_another_version_or_a_broken_field_is_a_plan_file_error_that_names_file_and_field(
    plan: Plan, tmp_path: Path, change: dict[str, Any]
) -> None:
    file = tmp_path / "plan.json"
    file.write_text(json.dumps(document(plan) | change), encoding="utf-8")
    with pytest.raises(PlanFileError, match=rf"plan\.json' is not a plan of version 1: {next(iter(change))}"):
        read_plan(file)


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b"null", b"\xff\xfe", b'{"version": 1}', b"[" * 100_000])
def test_what_is_no_plan_is_a_plan_file_error(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "plan.json"
    file.write_bytes(content)
    with pytest.raises(PlanFileError, match=r"plan\.json' is not a plan of version 1"):
        read_plan(file)


def test_a_plan_that_is_not_there_is_a_plan_file_error_and_so_a_request_error(tmp_path: Path) -> None:
    with pytest.raises(PlanFileError, match="cannot be read: No such file"):
        read_plan(tmp_path / "plan.json")
    assert issubclass(PlanFileError, RequestError)


@pytest.mark.parametrize("rate", ["25", "0/1", "25/0", "1e9", "abc"])
def test_a_rate_that_is_none_is_a_plan_file_error(plan: Plan, tmp_path: Path, rate: str) -> None:
    file = tmp_path / "plan.json"
    file.write_text(json.dumps(document(plan) | {"rate": rate}), encoding="utf-8")
    with pytest.raises(PlanFileError, match="rate"):
        read_plan(file)


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity"])
def test_a_stop_at_no_number_is_a_plan_file_error(plan: Plan, tmp_path: Path, number: str) -> None:
    file = tmp_path / "plan.json"
    stop = f'"x": {plan.slots[0].shots[0].stops[0].x},'
    assert stop in write_plan(plan)
    file.write_text(write_plan(plan).replace(stop, f'"x": {number},', 1), encoding="utf-8")
    with pytest.raises(PlanFileError, match=r"slots\.0\.shots\.0\.stops\.0\.x"):
        read_plan(file)


@pytest.mark.parametrize("moment", [{"arrive": 3, "leave": 2}, {"arrive": 1, "leave": 5}])
def test_stops_that_do_not_run_from_the_first_frame_on_are_a_plan_file_error(
    plan: Plan, tmp_path: Path, moment: dict[str, int]
) -> None:
    content = document(plan)
    content["slots"][0]["shots"][0]["stops"][0] |= moment
    file = tmp_path / "plan.json"
    file.write_text(json.dumps(content), encoding="utf-8")
    with pytest.raises(PlanFileError, match=r"slots\.0\.shots\.0: .* stop"):
        read_plan(file)
