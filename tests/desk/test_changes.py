"""What may be set from the page, and when two hands are in the same place."""

from __future__ import annotations

from typing import Any

import pytest

from kenburns.desk.changes import Change, ConflictError, read_changes, require_no_conflict
from kenburns.errors import OptionError

NAMES: dict[str, dict[str, str | None]] = {
    "slots": {"12": "12", "13": "11", "14": None},
    "stills": {"sea.jpg": "sea.jpg"},
}


def change(table: Any = "slots", name: Any = "12", key: Any = "shot", value: Any = "pan") -> dict[str, Any]:
    return {"table": table, "name": name, "key": key, "value": value}


def test_a_change_is_of_the_name_that_the_film_file_has() -> None:
    asked = [change(), change(name="13", key="head", value=0.5), change("stills", "sea.jpg", "square_up", True)]
    assert read_changes(asked, NAMES) == (
        Change(("slots", "12", "shot"), "pan"),
        Change(("slots", "11", "head"), 0.5),
        Change(("stills", "sea.jpg", "square_up"), True),
    )


def test_of_two_values_for_one_key_the_last_counts() -> None:
    assert read_changes([change(), change(value=None)], NAMES) == (Change(("slots", "12", "shot"), None),)


def test_whole_numbers_are_written_whole_and_others_to_the_last_digit() -> None:
    (told,) = read_changes([change(key="stops", value=[[0.0, 1 / 3, 640, 360.0]])], NAMES)
    assert repr(told.value) == "[[0, 0.3333333333333333, 640, 360]]"


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (None, "'changes' must be a list"),
        ([], "'changes' must be a list"),
        ([change()] * 201, "'changes' must be a list of 1 to 200 changes"),
        (["shot"], "must have 'table', 'name', 'key' and 'value'"),
        ([{**change(), "path": "/etc"}], "and nothing else"),
        ([change(table="film")], "table 'film' is not known; use slots or stills"),
        ([change(table="../slots")], "is not known"),
        ([change(key="file")], "slots have no key 'file'; they have card, cue, "),
        ([change(key="outline")], "slots have no key 'outline'"),
        ([change("stills", "sea.jpg", "shot")], "stills have no key 'shot'"),
        ([change(name="99")], "the film has no slot '99'"),
        ([change("stills", "../../etc/passwd", "title")], "the film has no photograph '../../etc/passwd'"),
        ([change(name="12\x00")], r"the film has no slot '12\x00'"),
        ([change(name=12)], "'name' must be text"),
        ([change(name="14")], "slot '14' is new in this cut"),
        ([change(value={"a": 1})], "'value' must be text, a number"),
        ([change(value=[None])], "'value' must be text, a number"),
        ([change(value=[[[[1]]]])], "'value' must be text, a number"),
        ([change(value="\ud800")], "'value' must be text, a number"),
        ([change(value=2**70)], "'value' must be text, a number"),
    ],
)
def test_what_is_not_known_is_refused_with_a_sentence(asked: object, said: str) -> None:
    with pytest.raises(OptionError) as refused:
        read_changes(asked, NAMES)
    assert said in str(refused.value)


BASE: dict[str, Any] = {"slots": {"12": {"shot": "pan", "head": 1}}}


@pytest.mark.parametrize(
    ("now", "asked", "conflicts"),
    [
        (BASE, "tilt", False),
        ({"slots": {"12": {"shot": "hold"}}}, "tilt", True),
        ({"slots": {"12": {"shot": "tilt"}}}, "tilt", False),  # both want the same
        ({"slots": {"12": {"shot": "pan", "head": 2}}}, "tilt", False),  # another key
        ({}, "tilt", True),  # taken away by someone
        ({}, None, False),  # taken away by both
    ],
)
def test_a_conflict_is_a_key_that_someone_else_has_set_otherwise(
    now: dict[str, Any], asked: object, conflicts: bool
) -> None:
    wanted = [Change(("slots", "12", "shot"), asked)]
    if conflicts:
        with pytest.raises(ConflictError, match=r"in the same place: \[slots\.\"12\"\] shot"):
            require_no_conflict(BASE, now, wanted)
    else:
        require_no_conflict(BASE, now, wanted)
