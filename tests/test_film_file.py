"""film.toml written back; every result is read again with the standard library's TOML reader."""

from __future__ import annotations

import tomllib
from difflib import ndiff
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.film_file import value_at, with_slots_renamed, with_values

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


def changed_lines(before: str, after: str) -> tuple[list[str], list[str]]:
    """Return the lines that went and those that came."""
    told = list(ndiff(before.splitlines(), after.splitlines()))
    return [line[2:] for line in told if line[0] == "-"], [line[2:] for line in told if line[0] == "+"]


def test_a_value_changes_in_its_line_and_the_comment_behind_it_stays() -> None:
    text = '[slots."12"] # the blue one\n  shot = "push in"   # slower still\nhead = 1\n'
    after = with_values(text, {("slots", "12", "shot"): "pan"})
    assert changed_lines(text, after) == (['  shot = "push in"   # slower still'], ['  shot = "pan"   # slower still'])


def test_a_new_key_comes_after_the_others_of_its_table_and_before_what_is_said_of_the_next() -> None:
    text = '[slots.12]\nshot = "pan"\n\n# the next one\n[slots.13]\nhead = 1\n'
    assert with_values(text, {("slots", "12", "tail"): 0.5}) == text.replace('"pan"\n', '"pan"\ntail = 0.5\n')


def test_a_new_table_comes_at_the_end_with_its_name_in_quotes() -> None:
    after = with_values("[film]\nrate = 25", {("stills", "a sea.jpg", "square_up"): True})
    assert after == '[film]\nrate = 25\n\n[stills."a sea.jpg"]\nsquare_up = true\n'
    assert with_values("", {("folders", "cut_list"): "a.edl"}) == '[folders]\ncut_list = "a.edl"\n'


def test_a_key_taken_away_leaves_the_comment_behind_it() -> None:
    text = '[slots.12]\nshot = "pan" # for her\nhead = 1\n'
    assert with_values(text, {("slots", "12", "shot"): None}) == "[slots.12]\n# for her\nhead = 1\n"


def test_a_table_left_with_nothing_goes_and_one_with_a_comment_stays() -> None:
    text = '[film]\nrate = 25\n\n[slots.12]\nshot = "pan"\n\n[slots.13]\n# calm\nhead = 1\n'
    after = with_values(text, {("slots", "12", "shot"): None, ("slots", "13", "head"): None})
    assert after == "[film]\nrate = 25\n\n[slots.13]\n# calm\n"


def test_brackets_quotes_and_hashes_inside_values_are_no_headings_keys_or_comments() -> None:
    text = (
        '[slots.12]\nnote = """\n[slots.13]\nhead = 9 # "" no\n"""\n'
        "stops = [ # first\n  [0, 0, 4, 4], # [x]\n  [1, 1, 4, 4],\n] # last\ntail = 1\n"
    )
    after = with_values(text, {("slots", "12", "stops"): [[2, 2, 4, 4]], ("slots", "12", "tail"): 2})
    assert after == text[: text.index("stops")] + "stops = [[2, 2, 4, 4]] # last\ntail = 2\n"


def test_the_last_key_of_an_inline_table_is_taken_away_with_its_table() -> None:
    text = '[film]\nrate = 25 # calm\n[slots]\n01 = { shot = "pan" }'
    assert tomllib.loads(with_values(text, {("slots", "01", "shot"): None})) == {"film": {"rate": 25}}


def test_dotted_keys_and_inline_tables_keep_all_values() -> None:
    text = 'slots.12.shot = "pan"\nslots.13 = { note = "x" }\n'
    slots = tomllib.loads(with_values(text, {("slots", "12", "head"): 1, ("slots", "13", "note"): "y"}))["slots"]
    assert slots == {"12": {"shot": "pan", "head": 1}, "13": {"note": "y"}}


def test_lines_keep_their_endings_and_a_mark_at_the_start_stays() -> None:
    text = "[slots.12]\r\nhead = 1\r\n"
    assert with_values(text, {("slots", "12", "tail"): 2}) == "[slots.12]\r\nhead = 1\r\ntail = 2\r\n"
    assert with_values(text, {("slots", "12", "head"): 3}) == "[slots.12]\r\nhead = 3\r\n"
    assert with_values("\ufeff[slots.12]\nhead = 1\n", {("slots", "12", "head"): 3}) == "\ufeff[slots.12]\nhead = 3\n"


def test_a_name_in_another_unicode_form_is_the_same_name() -> None:
    text = '[stills."cafe\u0301.jpg"]\ncredit = "x"\n'
    assert with_values(text, {("stills", "caf\u00e9.jpg", "credit"): "y"}) == text.replace('"x"', '"y"')


values = st.one_of(
    st.text(st.characters(exclude_categories=["Cs"]), max_size=12),
    st.booleans(),
    st.integers(-(2**53), 2**53),
    st.floats(allow_nan=False, allow_infinity=False),
    st.lists(st.lists(st.floats(0, 1e6), min_size=4, max_size=4), max_size=3),
)
edits = st.lists(
    st.tuples(
        st.sampled_from(["slots", "stills"]),
        st.sampled_from(["12", "13", "a b", 'quo"te', "é", "#", "[x]"]),
        st.sampled_from(["shot", "head", "note"]),
        st.none() | values,
    ),
    max_size=8,
)


@settings(max_examples=150)
@given(
    st.sampled_from([TEXT, "", '[slots]\n12.shot = "pan"\n13 = { note = "x" }\n', "a = [\n{b = 1},\n]\n[slots.12]"]),
    edits,
)
def test_any_edits_give_just_the_values_asked_for_and_keep_every_comment(text: str, asked: list[Any]) -> None:
    wanted = tomllib.loads(text)
    after = text
    for table, name, key, value in asked:
        after = with_values(after, {(table, name, key): value})
        wanted.setdefault(table, {}).setdefault(name, {})[key] = value
    held = tomllib.loads(after)
    for table, name, key, _ in asked:
        assert value_at(held, (table, name, key)) == wanted[table][name][key]
    assert sum(map(len, held.get("slots", {}).values())) == sum(
        value is not None for edit in wanted.get("slots", {}).values() for value in edit.values()
    )
    if text == TEXT:
        assert all(
            comment in after for comment in ("# The sea film", "# five and twenty", "# the blue one", "# slower")
        )


def test_a_slot_renamed_onto_one_that_is_written_in_another_way_keeps_both() -> None:
    text = '[slots]\n"13" = {shot = "pan"}\n\n[slots.12]\nshot = "tilt"\n'
    renamed = tomllib.loads(with_slots_renamed(text, {"12": "13"}))
    assert renamed == {"slots": {"13": {"shot": "tilt"}, "13 (gone)": {"shot": "pan"}}}
