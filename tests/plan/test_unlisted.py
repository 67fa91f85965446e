"""Slots for a folder of photographs without a cut list."""

from __future__ import annotations

from hypothesis import example, given
from hypothesis import strategies as st

from kenburns.cutlist.ids import check_id, id_key
from kenburns.plan.unlisted import slots_without_cut_list

# Anything that a POSIX file name may hold, and names that differ in case, folder or form only.
parts = st.text(st.characters(exclude_characters="/\0", exclude_categories=["Cs"]), min_size=1, max_size=150)
awkward = st.sampled_from(
    [
        "sea.jpg",
        "Sea.jpg",
        "SEA.png",
        "sea-2.jpg",
        "con.jpg",
        "aux.1.png",
        "a:b?.tif",
        "café.jpg",
        "cafe\u0301.png",
        "海" * 90,
    ]
)
files = st.lists(st.lists(parts | awkward, min_size=1, max_size=3).map("/".join), unique=True, max_size=12)


@given(files)
@example(["é" * 39 + ".jpg"])  # 117 bytes in Unicode's form D: an id by itself, but not with "-detail" behind it
@example(["海" * 90 + ".jpg", "海" * 91 + ".jpg"])
def test_ids_are_safe_as_file_names_and_differ_also_where_case_does_not_count(names: list[str]) -> None:
    slots = slots_without_cut_list(names, names, 10).slots
    assert all(check_id(slot.id) == slot.id for slot in slots)
    assert len({id_key(slot.id) for slot in slots}) == 2 * len(names)


@given(files, st.integers(1, 500))
def test_slots_follow_one_another_without_gap_and_each_has_the_given_length(names: list[str], length: int) -> None:
    slots = slots_without_cut_list(names, names[::2], length).slots
    assert [slot.start for slot in slots] == [place * length for place in range(len(slots))]
    assert all(slot.length == length for slot in slots)


def test_each_photograph_has_its_whole_and_where_there_is_room_its_detail() -> None:
    slots = slots_without_cut_list(["sea.jpg", "low.jpg"], ["sea.jpg"], 150).slots
    assert [(slot.id, slot.still, slot.shot) for slot in slots] == [
        ("sea-whole", "sea.jpg", "hold"),
        ("sea-detail", "sea.jpg", "detail"),
        ("low-whole", "low.jpg", "hold"),
    ]


def test_the_same_name_in_two_folders_gives_two_slots_that_say_so() -> None:
    slots = slots_without_cut_list(["a/Sea.jpg", "b/sea.png", "sea-2.tif"], [], 10).slots
    assert [slot.id for slot in slots] == ["Sea-whole", "sea-2-whole", "sea-2-2-whole"]
    assert [slot.still for slot in slots] == ["a/Sea.jpg", "b/sea.png", "sea-2.tif"]


def test_a_long_name_is_cut_off_and_not_replaced() -> None:
    slots = slots_without_cut_list(["海辺の家" * 20 + ".jpg"], [], 10).slots
    assert slots[0].id.startswith("海辺の家海辺の家")


def test_a_name_that_reads_well_stays_as_it_is() -> None:
    slots = slots_without_cut_list(["Blåbær & hav (1972).jpg"], [], 10).slots
    assert slots[0].id == "Blåbær & hav (1972)-whole"
    assert slots[0].wanted == "Blåbær & hav (1972)"
