from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.cutlist.works import Work
from kenburns.deliver.credit_lines import bare_name, taken_apart
from kenburns.deliver.credit_text import credit_flags, credits_report, credits_text
from kenburns.deliver.credits import NOTICE, Order, film_credits, works_by_file
from kenburns.plan.document import Plan
from kenburns.stills.credits import PhotographCredits, Value

Known = Mapping[str, PhotographCredits]


@pytest.fixture
def film(small_plan: Plan) -> Plan:
    """Return a film that shows sea.png in slots 01 and 04, nets.png in 03 and quay.png in 05; slot 02 is a card.

    The plan does not list them in the order of the film.
    """
    clip, card = small_plan.slots
    assert clip.still is not None

    def shows(slot: str, file: str, start: int) -> object:
        assert clip.still is not None
        still = replace(clip.still, file=file)
        return clip.model_copy(update={"slot": slot, "file": f"{slot}.mp4", "start": start, "still": still})

    slots = (shows("05", "quay.png", 400), clip, card, shows("03", "nets.png", 300), shows("04", "sea.png", 350))
    return small_plan.model_copy(update={"slots": slots})


def said(**texts: str) -> PhotographCredits:
    return PhotographCredits(**{name: Value((text,), f"test {name}") for name, text in texts.items()})  # type: ignore[arg-type]  # every text field is a Value


def groups(film: Plan, known: Known, works: tuple[Work, ...] = (), order: Order = "appearance") -> dict[str, object]:
    return dict(film_credits(film, works, known, order).groups)


def test_names_come_in_the_order_in_which_the_film_shows_them_or_of_the_alphabet(film: Plan) -> None:
    known = {"quay.png": said(creator="Ann"), "nets.png": said(creator="émile"), "sea.png": said(creator="Zoë")}
    assert groups(film, known) == {"Photographs": ("Zoë", "émile", "Ann")}
    assert groups(film, known, order="alphabetical") == {"Photographs": ("Ann", "émile", "Zoë")}


def test_only_what_the_film_shows_is_named(film: Plan) -> None:
    known = {"sea.png": said(creator="Ann"), "unused.png": said(creator="Nobody")}
    assert groups(film, known) == {"Photographs": ("Ann",)}


def test_a_name_stands_once_however_often_and_wherever_it_is_said(film: Plan) -> None:
    known = {
        "sea.png": said(creator="Ann Lee", credit_line="Ann Lee", copyright="© 2019 Ann Lee. All rights reserved"),
        "nets.png": said(creator="ann  lee", credit_line="Photo: Ann Lee"),
        "quay.png": said(credit_line="Courtesy of Port Hall", copyright="© Port Hall"),
    }
    assert groups(film, known) == {"Photographs": ("Ann Lee",), "Courtesy of": ("Port Hall",)}


def test_a_notice_that_names_someone_else_stays(film: Plan) -> None:
    known = {"sea.png": said(creator="Ann", copyright="© 2019 Estate of Oda Velkerman")}
    assert groups(film, known) == {"Photographs": ("Ann",), "Copyright": ("© 2019 Estate of Oda Velkerman",)}


def test_whom_a_photograph_came_from_is_named_only_where_nobody_else_is(film: Plan) -> None:
    known = {"sea.png": said(source="Port Archive"), "nets.png": said(creator="Ann", source="Kettle Archive")}
    assert groups(film, known) == {"Photographs": ("Ann",), "Courtesy of": ("Port Archive",)}


@pytest.mark.parametrize(
    ("line", "parts"),
    [
        ("Photo: Ann Lee", [("Photographs", "Ann Lee")]),
        ("Foto: Ürsa Ķ; Bo", [("Photographs", "Ürsa Ķ"), ("Photographs", "Bo")]),
        ("Courtesy of Port Hall. Photo: A. B.", [("Courtesy of", "Port Hall"), ("Photographs", "A. B.")]),
        ("Photo by Jo, courtesy the artist", [("Photographs", "Jo"), ("Courtesy of", "the artist")]),
        ("Kettle Lane (photo: Ann Lee)", [("Picture credits", "Kettle Lane"), ("Photographs", "Ann Lee")]),
        ("Photograph courtesy of Port Hall", [("Courtesy of", "Port Hall")]),
        (
            "Oda Velkerman, Nets, Drying, 2003. Photo: Jo",
            [("Picture credits", "Oda Velkerman, Nets, Drying, 2003"), ("Photographs", "Jo")],
        ),
        ("Collection of the artist", [("Picture credits", "Collection of the artist")]),
        ("Woman with photos: a study", [("Picture credits", "Woman with photos: a study")]),
        ("© Estate of X, Bonn. Photo: T", [("Copyright", "© Estate of X, Bonn. Photo: T")]),
        ("Courtesy", [("Picture credits", "Courtesy")]),
    ],
)
def test_a_credit_line_is_taken_apart_only_where_it_says_what_follows(line: str, parts: list[tuple[str, str]]) -> None:
    assert list(taken_apart(line)) == parts


@settings(max_examples=100)
@given(st.lists(st.sampled_from(["Photo: ", "courtesy of ", "Ann Lee", ". ", "; ", ", ", "(", ")", "Bo", "©", " "])))
def test_taking_a_line_apart_loses_no_name(pieces: list[str]) -> None:
    line = "".join(pieces)
    kept = " ".join(name for _, name in taken_apart(line))
    assert [kept.count(name) for name in ("Ann Lee", "Bo")] == [line.count(name) for name in ("Ann Lee", "Bo")]


@pytest.mark.parametrize(
    ("notice", "name"),
    [
        ("© 2019 A. Name. All rights reserved.", "a. name"),
        ("Copyright 1990-2001 Jo", "jo"),
        ("(c) Jo, 2020", "jo"),
        ("© 2020", ""),
        ("All rights reserved", ""),
    ],
)
def test_a_notice_is_reduced_to_its_name(notice: str, name: str) -> None:
    assert bare_name(notice) == name


def test_the_works_list_goes_before_the_file_and_a_slots_own_credit_before_both(film: Plan) -> None:
    work = Work("1", "The Sea", photographer="Ann", credit="Courtesy of Port Hall", file="sea.png", line=7)
    known = {"sea.png": said(creator="Someone Else", credit_line="Someone's Agency")}
    own = [
        slot.model_copy(update={"credit": "Courtesy of Kettle Lane"} if slot.slot == "04" else {})
        for slot in film.slots
    ]
    sea = film_credits(film.model_copy(update={"slots": tuple(own)}), (work,), known).stills[0]
    assert sea.credits.creator == Value(("Ann",), "works list, line 7")
    assert sea.credits.credit_line == Value(("Courtesy of Kettle Lane",), "slot 04 of the cut list or film.toml")
    assert [str(conflict) for conflict in sea.credits.conflicts] == [
        "creator: 'Ann' (works list, line 7) is taken, not 'Someone Else' (test creator): "
        "the works list goes before the file's metadata",
        "credit line: 'Courtesy of Port Hall' (works list, line 7) is taken, not 'Someone's Agency' "
        "(test credit_line): the works list goes before the file's metadata",
        "credit line: 'Courtesy of Kettle Lane' (slot 04 of the cut list or film.toml) is taken, not "
        "'Courtesy of Port Hall' (works list, line 7): a slot's own credit goes before all other",
    ]


def test_a_longer_line_that_holds_what_the_file_says_is_no_conflict(film: Plan) -> None:
    work = Work("1", "The Sea", credit="Oda Velkerman, The Sea. Photo: Ann Lee", file="sea.png")
    assert not film_credits(film, (work,), {"sea.png": said(credit_line="Ann Lee")}).stills[0].credits.conflicts


def test_a_work_without_a_file_is_found_by_its_title_and_one_that_is_not_meant_is_not() -> None:
    files = ["Kestrel_Kitchen_v2.tif", "nets-drying.jpg", "IMG_4471.jpg"]
    kitchen, other, named = (
        Work("1", "Kestrel Kitchen"),
        Work("2", "Winter Allotment"),
        Work("3", "Sea", file="img_4471"),
    )
    assert works_by_file(files, (kitchen, other, named)) == {files[0]: (kitchen,), files[2]: (named,)}


@pytest.mark.parametrize(
    ("known", "unnamed"),
    [
        ({}, ("01", "03", "04", "05")),
        ({"sea.png": said(creator="Ann"), "nets.png": said(source="B"), "quay.png": said(owner="C")}, ()),
        ({"sea.png": said(work_creator="Oda"), "nets.png": said(copyright="© 2020")}, ("01", "03", "04", "05")),
        (
            {"sea.png": said(terms="CC BY"), "nets.png": said(credit_line="B"), "quay.png": said(copyright="© C")},
            ("01", "04"),
        ),
    ],
)
def test_every_slot_whose_still_has_nobody_to_name_is_told_in_film_order(
    film: Plan, known: Known, unnamed: tuple[str, ...]
) -> None:
    assert film_credits(film, (), known).unnamed == unnamed


def test_every_slot_whose_permission_is_not_recorded_as_given_is_told(film: Plan) -> None:
    works = (
        Work("1", "The Sea", file="sea.png", permission="given"),
        Work("2", "Nets", file="nets.png", permission="given"),
        Work("3", "More Nets", file="nets.png", permission="asked"),  # two works in one photograph
    )
    found = film_credits(film, works, {})
    assert found.uncleared == ("03", "05")
    assert [still.permission for still in found.stills] == ["given", "asked", ""]


def test_flags_say_what_is_missing_and_what_would_work(film: Plan) -> None:
    works = (
        Work("1", "The Sea", photographer="Ann", file="sea.png", permission="given"),
        Work("2", "Nets", photographer="Bo", file="nets.png", permission="refused"),
    )
    found = film_credits(film, works, {})
    assert credit_flags(found) == {
        "03": ("permission to show 'nets.png' is recorded as refused: write 'given' in the works list once it is",),
        "05": (
            "nobody to name for 'quay.png': add its photographer or credit line to the works list",
            "permission to show 'quay.png' is not recorded: write 'given' in the works list once it is",
        ),
    }
    assert list(credit_flags(found, permissions=False)) == ["05"]


def test_the_text_has_a_line_a_heading_and_says_that_it_is_no_legal_advice(film: Plan) -> None:
    known = {
        "sea.png": said(creator="Ann", credit_line="Courtesy of Port Hall"),
        "nets.png": said(creator="Bo", credit_line="Kettle Lane", copyright="© Estate of Oda Velkerman"),
    }
    assert credits_text(film_credits(film, (), known)).splitlines() == [
        "Photographs: Ann; Bo",
        "Courtesy of Port Hall",
        "Picture credits: Kettle Lane",
        "Copyright: © Estate of Oda Velkerman",
        "",
        "This is a checklist and not legal advice: the rights holder, the collecting society and local law decide.",
    ]


def test_a_film_without_stills_has_only_the_notice(film: Plan) -> None:
    cards = film.model_copy(update={"slots": tuple(slot for slot in film.slots if slot.still is None)})
    found = film_credits(cards, (), {})
    assert (found.groups, found.unnamed, found.uncleared, found.stills) == ((), (), (), ())
    assert credits_text(found) == NOTICE + "\n"


def test_the_report_says_for_each_photograph_what_is_said_and_where(film: Plan) -> None:
    report = credits_report(film_credits(film, (), {"sea.png": said(creator="Ann")}))
    assert report.splitlines()[:5] == [
        "sea.png (slot 01, 04); permission: not recorded",
        "  creator: Ann (test creator)",
        "",
        "nets.png (slot 03); permission: not recorded",
        "  ! nobody to name",
    ]
    assert report.splitlines()[-1] == NOTICE


def test_the_plain_document_holds_the_same(film: Plan) -> None:
    document = json.loads(json.dumps(film_credits(film, (), {"sea.png": said(creator="Ann")}).as_json()))
    assert document["notice"] == NOTICE
    assert document["groups"] == [{"heading": "Photographs", "names": ["Ann"]}]
    assert document["photographs"][0]["said"] == {"creator": {"texts": ["Ann"], "where": "test creator"}}
    assert document["unnamed"] == ["03", "05"]


def test_another_order_is_refused(film: Plan) -> None:
    with pytest.raises(ValueError, match="'appearance' or 'alphabetical', not 'random'"):
        film_credits(film, (), {}, "random")  # type: ignore[arg-type]  # a caller's mistake
