from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kenburns.cutlist.names import name_of_file, name_of_text, phrases, plain, without_suffix


@pytest.mark.parametrize(
    ("file", "telling"),
    [
        ("Blue Kitchen.jpg", "blu kitchen"),
        ("blue_kitchen_final_v2.tif", "blu kitchen"),
        ("BlueKitchen-web.PNG", "blu kitchen"),
        ("scans/old/Blue.Kitchen.jpeg", "blu kitchen"),
        ("C:\\photos\\Blue Kitchen copy 2.jpg", "blu kitchen"),
        ("IMG_4471 Blue Kitchen.jpg", "blu kitchen"),
        ("IMG_4471.jpg", ""),
        ("DSC01234.NEF", ""),
        ("P1010034.JPG", ""),
        ("_MG_0042.CR2", ""),
        ("PXL_20240301_123456789.jpg", ""),
        ("2024-03-01 12.30.11 harbour.jpg", "harbour"),
        ("Blue Kitchen 4000x3000.jpg", "blu kitchen"),
        ("Blue Kitchen 80 x 60 cm 300dpi.tif", "blu kitchen"),
        ("Blue Kitchen (photo by L. Okoro).jpg", "blu kitchen"),
        ("Blue Kitchen © Okoro.jpg", "blu kitchen"),
        ("Blue Kitchen, courtesy of Marten Gallery.jpg", "blu kitchen"),
        ("Lighthouse Keeper's Daughter.jpg", "lighthouse keepers daughter"),
        ("sea.tif.jpg", "sea"),
    ],
)
def test_of_a_file_name_only_the_words_of_the_work_tell(file: str, telling: str) -> None:
    assert " ".join(name_of_file(file).telling) == telling


@pytest.mark.parametrize(
    ("text", "marks"),
    [
        ("Blue Kitchen", set()),
        ("Blue Kitchen II", {"2"}),
        ("Blue Kitchen 2", {"2"}),
        ("Blue Kitchen 02", {"2"}),
        ("Untitled V", {"5"}),
        ("Untitled I, oil on canvas", {"1"}),
        ("the picture I painted then", set()),
        ("Harbour (detail)", {"detail"}),
        ("Harbour, links", {"left"}),
        ("Harbour verso", {"verso"}),
        ("Harbour back", {"verso"}),
        ("Harbour b", {"b"}),
        ("Study for Harbour III", {"study", "3"}),
        ("Harbour 1987", set()),
        ("no. 12 Harbour", set()),
    ],
)
def test_numerals_and_views_are_marks(text: str, marks: set[str]) -> None:
    assert name_of_text(text).marks == marks


@pytest.mark.parametrize(
    ("text", "numbers", "loose"),
    [
        ("no. 12", {"12"}, set()),
        ("No 012", {"12"}, set()),
        ("#12", {"12"}, set()),
        ("№ 12", {"12"}, set()),
        ("n° 12", {"12"}, set()),
        ("Nr.12 Hafen", {"12"}, set()),
        ("cat. no. 12", {"12"}, set()),
        ("12", set(), {"12"}),
        ("12_harbour", set(), {"12"}),
        ("kestrel_012_harbour", set(), {"12"}),
        ("harbour 1912", set(), set()),
        ("DSC_0012", set(), set()),
    ],
)
def test_numbers_of_works_are_told_from_years_and_counters(text: str, numbers: set[str], loose: set[str]) -> None:
    name = name_of_text(text)
    assert (set(name.numbers), set(name.loose)) == (numbers, loose)


@pytest.mark.parametrize("text", ["Müller", "Mueller", "Muller", "MU\u0308LLER", "MÜLLER"])
def test_the_spellings_of_an_umlaut_are_one(text: str) -> None:
    assert plain(text) == "muller"


def test_letters_without_a_decomposition_are_spelt_out() -> None:
    assert [plain(word) for word in ("Łódź", "Ærø", "Straße", "cœur")] == ["lodz", "aro", "strasse", "cour"]


def test_only_suffixes_of_pictures_are_taken_off() -> None:
    assert [without_suffix(name) for name in ("a.jpg", "a.TIF", "no. 7", "St. Ives", ".jpg", "a.b")] == [
        *("a", "a", "no. 7", "St. Ives", ".jpg", "a.b"),
    ]


def test_phrases_put_the_quoted_one_first_and_leave_out_the_faint() -> None:
    assert phrases("she paints: “Blue Kitchen”, oil on canvas")[:2] == ("Blue Kitchen", "she paints")
    assert phrases("Blue Kitchen - the window") == ("Blue Kitchen", "the window")
    assert phrases("Blue Kitchen") == ()


@given(st.text(max_size=80))
def test_any_text_is_taken_apart(text: str) -> None:
    for name in (name_of_text(text), name_of_file(text)):
        assert set(name.telling) <= set(name.words)
        assert all(number.isdigit() for number in name.digits | name.years | name.counters)
        assert not name.numbers & name.loose


def test_a_name_of_nothing_but_suffixes_is_read_to_its_start() -> None:
    assert without_suffix("nets" + ".jpg" * 5000) == "nets"
