"""film.toml written back; every result is read again with the standard library's TOML reader."""

from __future__ import annotations

import tomllib

from hypothesis import given
from hypothesis import strategies as st

from kenburns.film_file import with_slots_renamed

TEXT = """\
# The sea film
[film]
rate = 25 # five and twenty

[slots."12"] # the blue one
shot = "push in"
# slower still
[slots.13]
note = "x"
[slots.'14']
head = 1
"""


def test_ids_change_and_all_else_stays_to_the_letter() -> None:
    expected = TEXT.replace('[slots."12"]', '[slots."13"]').replace("[slots.13]", '[slots."12"]')
    assert with_slots_renamed(TEXT, {"12": "13", "13": "12"}).replace('[slots."14"]', "[slots.'14']") == expected


def test_what_was_set_for_a_slot_whose_id_is_taken_is_kept_aside() -> None:
    slots = tomllib.loads(with_slots_renamed(TEXT, {"12": "13", "13": "14"}))["slots"]
    assert slots == {"13": {"shot": "push in"}, "14": {"note": "x"}, "14 (gone)": {"head": 1}}


def test_dotted_keys_and_inline_tables_are_renamed_too() -> None:
    text = '[slots]\n12.shot = "pan"\n13 = { note = "x" }\n'
    assert tomllib.loads(with_slots_renamed(text, {"12": "a", "13": "12"}))["slots"] == {
        "a": {"shot": "pan"},
        "12": {"note": "x"},
    }


def test_a_film_without_slots_stays_as_it_is() -> None:
    assert with_slots_renamed("[film]\nrate = 25\n", {"1": "2"}) == "[film]\nrate = 25\n"


names = st.text(st.characters(exclude_categories=["Cs", "Cc"], exclude_characters="\"\\'"), min_size=1, max_size=8)


@given(st.lists(names, min_size=1, max_size=6, unique_by=lambda name: name))
def test_no_edit_is_ever_lost_or_given_to_another_slot(ids: list[str]) -> None:
    text = "\n".join(f'[slots."{name}"]\nnote = "{number}"' for number, name in enumerate(ids))
    moved = {name: f"new {number}" for number, name in enumerate(ids[::2])}
    slots = tomllib.loads(with_slots_renamed(text, moved))["slots"]
    assert sorted(edit["note"] for edit in slots.values()) == sorted(str(number) for number in range(len(ids)))
    assert all(slots[new]["note"] == str(2 * number) for number, new in enumerate(moved.values()))
