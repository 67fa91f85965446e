"""Invented names as photographs have them in life, and what a careful person would answer.

The expectations are judgements, not a published reference: they say what may be taken silently and what may not.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.cutlist.match import Match, match_all, match_still
from kenburns.cutlist.slots import Slot
from kenburns.cutlist.works import Work

FILES = (
    *("IMG_4471.jpg", "Kestrel_Kitchen_final_v2.tif", "no 7 - salt field.png", "Blue Kitchen.jpg"),
    *("blue_kitchen_ii.jpg", "Blue-Kitchen-III_detail.tif", "BlueKitchenIV.jpg", "harbour_left.jpg"),
    *("harbour_right.jpg", "Harbour, verso.tif", "2012_ferry_at_dusk.jpg", "112_orchard.jpg", "12_orchard_wall.jpg"),
    *("Müller-Brücke_4000x3000.jpg", "Muehle im Schnee (photo by L. Okoro).jpg", "DSC_0012.jpg", "P1010034.jpg"),
    *("Self-portrait 1987.jpg", "Self-portrait 1991.jpg", "scans/letter.jpg", "prints/letter.jpg", "untitled_03.jpg"),
    *("Untitled 4 copy 2.jpg", "the_lighthouse_keepers_daughter_web.jpg", "Study for Red Door.jpg"),
    *("WinterGarden.jpeg", "PXL_20240301_123456789.jpg", "woman_and_dog.jpg", "dog_and_woman.jpg"),
)
WORKS = (
    Work("21", "The Net Menders", ("Die Netzflickerinnen",), year="1979", file="IMG_4471.jpg", photographer="L. Okoro"),
    Work("12", "Orchard Wall"),
    Work("112", "Orchard"),
    Work("30", "Winter Garden"),
    Work("31", "Quarry", file="P1010034.jpg"),
    Work("A-4", "Tidal Chart", file="PXL_20240301_123456789.jpg"),
    Work("40", "Red Door"),
)

SURE = [
    ("IMG_4471", "IMG_4471.jpg", "file name"),
    ("img_4471.JPG", "IMG_4471.jpg", "file name"),
    ("4471", "IMG_4471.jpg", "file name"),
    ("Kestrel Kitchen", "Kestrel_Kitchen_final_v2.tif", "file name"),
    ("Salt Field", "no 7 - salt field.png", "file name"),
    ("Salt Field 7", "no 7 - salt field.png", "file name"),
    ("no. 7", "no 7 - salt field.png", "number"),
    ("#7", "no 7 - salt field.png", "number"),
    ("Nr. 7", "no 7 - salt field.png", "number"),
    ("painting 7", "no 7 - salt field.png", "number"),
    ("No. 7 – Salt Field", "no 7 - salt field.png", "file name"),
    ("Blue Kitchen", "Blue Kitchen.jpg", "file name"),
    ("BLUE KITCHEN", "Blue Kitchen.jpg", "file name"),
    ("the blue kitchen", "Blue Kitchen.jpg", "file name"),
    ("Blue Kitchen (1987), oil on canvas", "Blue Kitchen.jpg", "file name"),
    ("Blue Kitchen II", "blue_kitchen_ii.jpg", "file name"),
    ("Blue Kitchen 2", "blue_kitchen_ii.jpg", "file name"),
    ("Blue Kitchen IV", "BlueKitchenIV.jpg", "file name"),
    ("Blue Kitchen III, detail", "Blue-Kitchen-III_detail.tif", "file name"),
    ("Harbour (left)", "harbour_left.jpg", "file name"),
    ("Harbour, right", "harbour_right.jpg", "file name"),
    ("harbour, back", "Harbour, verso.tif", "file name"),
    ("Ferry at Dusk", "2012_ferry_at_dusk.jpg", "file name"),
    ("12", "12_orchard_wall.jpg", "number"),
    ("No. 12", "12_orchard_wall.jpg", "number"),
    ("112", "112_orchard.jpg", "number"),
    ("Orchard", "112_orchard.jpg", "file name"),
    ("Orchard Wall", "12_orchard_wall.jpg", "file name"),
    ("Mueller Bruecke", "Müller-Brücke_4000x3000.jpg", "file name"),
    ("Muller Brucke", "Müller-Brücke_4000x3000.jpg", "file name"),
    ("Mühle im Schnee", "Muehle im Schnee (photo by L. Okoro).jpg", "file name"),
    ("Self-portrait, 1991", "Self-portrait 1991.jpg", "file name"),
    ("Untitled 3", "untitled_03.jpg", "file name"),
    ("Untitled III", "untitled_03.jpg", "file name"),
    ("Untitled 4", "Untitled 4 copy 2.jpg", "file name"),
    ("The Lighthouse Keeper's Daughter", "the_lighthouse_keepers_daughter_web.jpg", "file name"),
    ("The Lighthouse Keper’s Daughter", "the_lighthouse_keepers_daughter_web.jpg", "file name"),
    ("Study for Red Door", "Study for Red Door.jpg", "file name"),
    ("Winter Garden", "WinterGarden.jpeg", "file name"),
    ("The Net Menders", "IMG_4471.jpg", "title"),
    ("Net Menders, oil on canvas, 1979", "IMG_4471.jpg", "title"),
    ("Die Netzflickerinnen", "IMG_4471.jpg", "title"),
    ("three women mending: “The Net Menders”", "IMG_4471.jpg", "title"),
    ("21", "IMG_4471.jpg", "number"),
    ("work 21", "IMG_4471.jpg", "number"),
    ("Quarry", "P1010034.jpg", "title"),
    ("Quarry – the pit at night", "P1010034.jpg", "title"),
    ("A-4", "PXL_20240301_123456789.jpg", "number"),
    ("Woman and Dog", "woman_and_dog.jpg", "file name"),
]


@pytest.mark.parametrize(("wanted", "file", "by"), SURE)
def test_a_photograph_that_is_surely_meant_is_taken(wanted: str, file: str, by: str) -> None:
    found = match_still(wanted, "", FILES, WORKS)
    assert (found.file, found.certain, found.by) == (file, True, by)
    assert found.score >= 90


@pytest.mark.parametrize(
    ("wanted", "perhaps"),
    [
        ("Kitchen", "Blue Kitchen.jpg"),  # or another kitchen
        ("Blue Kitchen III", "Blue-Kitchen-III_detail.tif"),  # only a detail of it is there
        ("Blue Kitchen V", "Blue Kitchen.jpg"),
        ("Blue Kitchen verso", "Blue Kitchen.jpg"),
        ("we see Blue Kitchen behind her", "Blue Kitchen.jpg"),
        ("Harbour", "harbour_left.jpg"),
        ("Harbour", "harbour_right.jpg"),
        ("2012", "2012_ferry_at_dusk.jpg"),  # a year is no number of a work
        ("Self-portrait", "Self-portrait 1987.jpg"),
        ("Self-portrait", "Self-portrait 1991.jpg"),
        ("Self-portrait 1989", "Self-portrait 1987.jpg"),
        ("letter", "prints/letter.jpg"),
        ("letter", "scans/letter.jpg"),
        ("Untitled", "untitled_03.jpg"),
        ("Red Door", "Study for Red Door.jpg"),
        ("Orchard Wall at night", "12_orchard_wall.jpg"),
        ("Salt Fields in June", "no 7 - salt field.png"),
    ],
)
def test_a_doubtful_photograph_is_offered_and_not_taken(wanted: str, perhaps: str) -> None:
    found = match_still(wanted, "", FILES, WORKS)
    assert found.certain is False
    assert perhaps in [file for file, _ in found.candidates]
    assert found.file in [file for file, _ in found.candidates]
    assert found.score >= 60


@pytest.mark.parametrize("wanted", ["", " ", "?", "the artist's hands", "99", "no. 99", "Blue Lagoon", "IMG_4472", "2"])
def test_what_is_not_there_is_not_found(wanted: str) -> None:
    found = match_still(wanted, "", FILES, WORKS)
    assert (found.file, found.by, found.certain) == (None, "", False)
    assert found.score < 60


@pytest.mark.parametrize(
    ("still", "file"),
    [
        ("IMG_4471.jpg", "IMG_4471.jpg"),
        ("img_4471", "IMG_4471.jpg"),
        ("IMG_4471.tif", "IMG_4471.jpg"),
        ("photos/IMG_4471.jpg", "IMG_4471.jpg"),
        ("Mu\u0308ller-Bru\u0308cke_4000x3000.jpg", "Müller-Brücke_4000x3000.jpg"),
        ("scans/letter.jpg", "scans/letter.jpg"),
        ("prints\\LETTER", "prints/letter.jpg"),
        ("kestrel kitchen.jpg", "Kestrel_Kitchen_final_v2.tif"),
        ("The Net Menders", "IMG_4471.jpg"),
        ("21", "IMG_4471.jpg"),
    ],
)
def test_a_named_still_is_taken_whatever_the_caption_says(still: str, file: str) -> None:
    found = match_still("Quarry", still, FILES, WORKS)
    assert (found.file, found.certain) == (file, True)


def test_an_exact_file_name_scores_100() -> None:
    assert match_still("", "IMG_4471.jpg", FILES) == Match(
        "IMG_4471.jpg", 100.0, "file name", True, (("IMG_4471.jpg", 100.0),)
    )


def test_a_named_still_that_is_absent_is_never_replaced_silently() -> None:
    found = match_still("Quarry", "IMG_9999.jpg", FILES, WORKS)
    assert (found.file, found.certain) == ("P1010034.jpg", False)


def test_a_still_named_without_its_folder_is_doubtful_where_two_folders_have_it() -> None:
    found = match_still("", "letter.jpg", FILES)
    assert found.certain is False
    assert found.candidates == (("prints/letter.jpg", 100.0), ("scans/letter.jpg", 100.0))


def test_a_format_that_is_named_decides_between_two_files_of_one_name() -> None:
    assert match_still("", "sea.tif", ["sea.jpg", "sea.tif"]).file == "sea.tif"
    assert match_still("", "sea", ["sea.jpg", "sea.tif"]).certain is False


@pytest.mark.parametrize("number", ["12", "no. 12", "#12", "No 012", "nr.12"])
def test_a_number_is_a_whole_number(number: str) -> None:
    found = match_still(number, "", ["kestrel 112.jpg", "kestrel 2012.jpg", "kestrel 120.jpg", "IMG_1212.jpg"])
    assert found.file is None
    assert match_still(number, "", ["kestrel 112.jpg", "kestrel 012.jpg"]).file == "kestrel 012.jpg"


def test_a_number_the_works_list_gives_one_file_is_not_taken_for_part_of_another() -> None:
    works = [Work("7", "Shoal", file="no 7 - shoal.png"), Work("6", "Nine Signals", file="Nine Signals 7-30.jpg")]
    found = match_still("7", "", ["Nine Signals 7-30.jpg", "no 7 - shoal.png"], works)
    assert (found.file, found.certain) == ("no 7 - shoal.png", True)


def test_a_number_beside_words_that_mean_another_file_is_doubtful() -> None:
    assert match_still("no. 12, Salt Field", "", ["12_orchard.jpg", "salt_field.jpg"]).score >= 60
    assert match_still("no. 12 Orchard", "", ["12_orchard.jpg", "14_orchard.jpg"]).file == "12_orchard.jpg"
    assert match_still("no. 13 Orchard", "", ["12_orchard.jpg", "14_orchard.jpg"]).certain is False


def test_a_photograph_of_another_work_is_held_back_where_the_right_one_is_missing() -> None:
    works = [Work("1", "Blue Kitchen"), Work("2", "Blue Kitchen Garden", file="blue kitchen garden.jpg")]
    assert match_still("Blue Kitchen", "", ["blue kitchen garden.jpg"], works).certain is False


def test_a_works_title_finds_its_file_by_its_number() -> None:
    works = [Work("7", "Salt Field"), Work("8", "Ferry")]
    found = match_still("Salt Field", "", ["kestrel_007.jpg", "kestrel_008.jpg"], works)
    assert (found.file, found.by, found.certain) == ("kestrel_007.jpg", "title", True)


def test_titles_numbered_in_the_list_and_in_the_name_are_kept_apart() -> None:
    works = [Work("2", "Blue Kitchen"), Work("3", "Blue Kitchen II")]
    files = ["02_blue_kitchen.jpg", "03_blue_kitchen_ii.jpg"]
    assert [match_still(title, "", files, works).file for title in ("Blue Kitchen", "Blue Kitchen II")] == files
    assert all(match_still(title, "", files, works).certain for title in ("Blue Kitchen", "Blue Kitchen II"))


def test_a_year_in_the_works_list_tells_two_works_of_one_title_apart() -> None:
    works = [Work("1", "Untitled", year="1987", file="a.jpg"), Work("2", "Untitled", year="1991", file="b.jpg")]
    assert match_still("Untitled, 1991", "", ["a.jpg", "b.jpg"], works).file == "b.jpg"
    assert match_still("Untitled", "", ["a.jpg", "b.jpg"], works).certain is False


def test_words_that_stand_in_most_names_tell_little() -> None:
    files = [f"Amara Vells - {title}.jpg" for title in ("Kitchen", "Ferry", "Orchard", "Salt Field", "Quarry")]
    found = match_still("Kitchen", "", files)
    assert (found.file, found.certain) == ("Amara Vells - Kitchen.jpg", True)
    assert match_still("Amara Vells", "", files).certain is False


def test_all_slots_at_once_match_as_each_alone() -> None:
    slots = [Slot(str(place), place, 1, wanted) for place, (wanted, _, _) in enumerate(SURE)]
    assert match_all(slots, FILES, WORKS) == tuple(match_still(slot.wanted, "", FILES, WORKS) for slot in slots)


def test_among_hundreds_of_files_the_right_one_is_found() -> None:
    files = [f"{a}_{b}_{c}.jpg" for a in ["red", "blue", "green"] for b in ["boat", "house", "tree"] for c in range(40)]
    found = match_still("Blue House 17", "", files)
    assert (found.file, found.certain) == ("blue_house_17.jpg", True)


def test_no_files_is_no_match() -> None:
    assert match_still("Blue Kitchen", "", [], WORKS) == Match(None, 0.0, "", False, ())


WORD = st.sampled_from(
    [
        *("blue", "kitchen", "salt", "field", "harbour", "ii", "2", "12", "detail", "left", "no.", "1987", "v2"),
        *("IMG_0012", "ü", "-", ".jpg"),
    ]
)
TEXT = st.lists(WORD, max_size=5).map(" ".join) | st.text(max_size=20)
TITLES = st.lists(TEXT, max_size=3)


@settings(max_examples=100)
@given(wanted=TEXT, still=TEXT, files=st.lists(TEXT, max_size=5), titles=TITLES)
def test_every_answer_keeps_the_rules(wanted: str, still: str, files: list[str], titles: list[str]) -> None:
    works = [Work(str(number), title) for number, title in enumerate(titles, 1)]
    found = match_still(wanted, still, files, works)
    scores = [score for _, score in found.candidates]
    assert 0 <= found.score <= 100
    assert scores == sorted(scores, reverse=True)
    assert (found.file is None) == (found.score < 60)
    if found.file is not None:
        assert found.candidates[0] == (found.file, found.score)
        assert found.by in ("file name", "title", "number")
    if found.certain:
        assert found.score >= 90
        assert all(score <= found.score - 5 for score in scores[1:])


@settings(max_examples=100)
@given(wanted=TEXT, still=TEXT, files=st.lists(TEXT, max_size=5, unique=True), data=st.data())
def test_the_order_of_the_files_changes_nothing(wanted: str, still: str, files: list[str], data: st.DataObject) -> None:
    mixed = data.draw(st.permutations(files))
    assert match_still(wanted, still, files) == match_still(wanted, still, mixed)


@settings(max_examples=100)
@given(st.text(st.characters(categories=("Ll", "Lu", "Nd")), min_size=1, max_size=12), st.lists(TEXT, max_size=4))
def test_a_file_asked_for_by_its_very_name_is_always_found(name: str, others: list[str]) -> None:
    found = match_still("", f"{name}.jpg", [*others, f"{name}.jpg"])
    assert found.score == 100
    assert f"{name}.jpg" in [file for file, _ in found.candidates]
