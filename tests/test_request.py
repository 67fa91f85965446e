"""What to ask owners for. Sizes are worked out by hand for a 320x180 frame at zoom 1.5, so 480x270 on the work.

A zoom of 1.5 is what the pacing "steady" asks of photographs, in which a hold, a pan and a tilt only fill the frame.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from kenburns.cutlist.works import Work
from kenburns.deliver.asks import STEP, Ask, Request, covering, rounded_up
from kenburns.deliver.request_letter import request_letters
from kenburns.deliver.request_table import COLUMNS, request_csv
from kenburns.motion.geometry import Size
from kenburns.owners import named_owner, owner_in
from kenburns.prepare import Options, prepare, prepare_all
from kenburns.records import Records, load_records
from kenburns.request import request
from kenburns.resolution import works_of

Photo = Callable[..., Path]
Asked = Callable[[Path], Request]

WORKS = """number,title,year,height cm,width cm,photographer,credit,file
1,High Water,1991,30,40,Tamsin Orrelby,,sea.png
2,The Slip,1968,30,30,,"Oda Velkerman, The Slip, 1968. Kettle Lane Gallery, Brantmouth",quay.png
3,Black Water,2018,120,160,,"Oda Velkerman, Black Water, 2018. Photo: tamsin  ORRELBY",
"""
CUTS = """slot,start,length,wanted,still,shot
01,0,50,the sea,sea.png,push in
02,60,50,the slip,quay.png,hold
03,120,50,Black Water,,
04,180,50,the door of the studio,,tilt
05,240,50,the hill,hill.png,push in
06,300,50,the sea again,sea.png,hold
"""


@pytest.fixture
def folder(tmp_path: Path, photograph: Photo) -> Path:
    """Return a film of three photographs, two of them short, and two pictures missing."""
    for seed, (name, size) in enumerate({"sea": (400, 300), "quay": (300, 300), "hill": (600, 400)}.items()):
        photograph(tmp_path / "photographs" / f"{name}.png", *size, seed)
    (tmp_path / "works.csv").write_text(WORKS)
    (tmp_path / "cutlist.csv").write_text(CUTS)
    (tmp_path / "film.toml").write_text('[film]\ntitle = "Salt and Linen"\nframe = "320x180"\ncodec = "review"\n')
    return tmp_path


def add(folder: Path, text: str) -> None:
    with (folder / "film.toml").open("a") as file:
        file.write(text)


@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> Records:
    """Return what has been seen of the photographs by earlier tests: each is looked at once."""
    return load_records(tmp_path_factory.mktemp("known"))


@pytest.fixture
def asked(known: Records) -> Asked:
    """Ask for what a film folder needs."""

    def ask(folder: Path) -> Request:
        prepared = prepare_all(folder, Options(), known)
        return request(prepared, works_of(prepared[0].place).works)

    return ask


def by_name(made: Request) -> dict[str, Ask]:
    return {ask.file or ask.work: ask for ask in made.asks if ask.state != "sharper"}


def test_every_short_and_missing_picture_is_asked_for_at_the_size_its_shot_needs(asked: Asked, folder: Path) -> None:
    asks = by_name(asked(folder))
    assert {name: (ask.state, ask.needed, ask.ask_for) for name, ask in asks.items()} == {
        # 400 px bear a zoom of 1.25: 1.5 / 1.25 times as many
        "sea.png": ("larger", Size(480, 360), Size(500, 375)),
        # a hold fills 320 px of 300
        "quay.png": ("larger", Size(320, 320), Size(400, 400)),
        # nobody has said a shot: zoom 1.5, in the work's shape of 160 to 120 cm
        "Black Water, 2018": ("missing", Size(480, 360), Size(500, 375)),
        # a tilt fills the frame, and nobody knows the shape
        "the door of the studio": ("missing", Size(320, 180), Size(400, 200)),
    }
    assert [use.slot for use in asks["sea.png"].uses] == ["01"]  # the hold of slot 06 has its pixels


def test_owners_are_grouped_in_any_spelling_and_nobody_comes_last(asked: Asked, folder: Path) -> None:
    made = asked(folder)
    assert made.owners == ("Tamsin Orrelby", "Kettle Lane Gallery, Brantmouth", "")
    assert [ask.name for ask in made.of("Tamsin Orrelby")] == ["High Water, 1991", "Black Water, 2018"]


def test_a_photographs_own_word_names_the_owner_where_the_list_does_not(known: Records, folder: Path) -> None:
    prepared = prepare_all(folder, Options(), known)
    owners = {"sea.png": "Jarek Lindquore", "quay.png": ""}
    made = request(prepared, (), lambda name: owners.get(name, ""))
    assert {ask.file: ask.owner for ask in made.asks if ask.file} == {"sea.png": "Jarek Lindquore", "quay.png": ""}


def test_every_delivery_counts(asked: Asked, folder: Path) -> None:
    add(folder, '[deliveries.vertical]\nframe = "180x320"\n')
    ask = by_name(asked(folder))["sea.png"]
    # 300 px of height bear 0.9375 on 320: the push in needs 1.5 / 0.9375 = 1.6 times as many, the hold 1 / 0.9375
    assert [(use.slot, use.delivery, use.needed) for use in ask.uses] == [
        ("01", "", Size(480, 360)),
        ("01", "vertical", Size(640, 480)),
        ("06", "vertical", Size(427, 320)),
    ]
    assert (ask.needed, ask.ask_for) == (Size(640, 480), Size(700, 525))


def test_a_missing_picture_of_no_known_shape_covers_every_delivery(asked: Asked, folder: Path) -> None:
    add(folder, '[deliveries.vertical]\nframe = "180x320"\n')
    assert by_name(asked(folder))["the door of the studio"].needed == Size(320, 320)


def test_views_set_by_hand_say_how_close_it_goes(asked: Asked, folder: Path) -> None:
    add(folder, '[slots."05"]\nstops = [[0, 0, 600, 337.5], [100, 100, 160, 90]]\n')
    ask = by_name(asked(folder))["hill.png"]
    assert ask.needed == Size(1200, 800)  # 160 px of the file are to fill 320
    assert "on 160×90 px of this file, as set by hand" in ask.reasons[0]
    add(folder, '[slots."01"]\nstops = [[0, 0, 400, 225], [40, 40, 320, 180]]\n')
    assert "sea.png" not in by_name(asked(folder))  # 1:1 is all that these views need


def test_a_detail_set_by_hand_closer_than_the_file_bears_is_asked_for(asked: Asked, folder: Path) -> None:
    add(folder, '[stills."hill.png"]\ndetails = [[100, 100, 200, 100]]\n')
    assert by_name(asked(folder))["hill.png"].needed == Size(960, 640)  # 200 px are to fill 320


def test_wall_around_the_work_bears_no_zoom(asked: Asked, folder: Path) -> None:
    add(folder, '[stills."hill.png"]\noutline = [100, 100, 300, 200]\n')
    # 300 px of work bear 0.9375 on 320: the whole photograph needs 1.6 times as many
    assert by_name(asked(folder))["hill.png"].needed == Size(960, 640)


def test_an_enlarged_photograph_is_asked_for_anew(asked: Asked, folder: Path) -> None:
    rng = np.random.default_rng(7)
    small = Image.fromarray(rng.integers(0, 256, (200, 300, 3), dtype=np.uint8))
    small.resize((1200, 800), Image.Resampling.BICUBIC).save(folder / "photographs" / "hill.png")
    ask = next(ask for ask in asked(folder).asks if ask.file == "hill.png")
    assert ask.state == "sharper"
    assert ask.needed == Size(480, 320)  # real pixels for zoom 1.5: fewer than the file counts
    assert "real detail" in ask.soft


def test_a_work_that_several_slots_wait_for_is_asked_for_once(asked: Asked, folder: Path) -> None:
    with (folder / "cutlist.csv").open("a") as file:
        file.write("07,360,50,no. 3,,\n08,420,50,The Door of the  Studio,,push in\n")
    asks = by_name(asked(folder))
    assert [use.slot for use in asks["Black Water, 2018"].uses] == ["03", "07"]
    assert [use.slot for use in asks["the door of the studio"].uses] == ["04", "08"]
    assert asks["the door of the studio"].needed == Size(480, 270)  # the push in wants more than the tilt


def test_a_file_that_cannot_be_read_is_named(asked: Asked, folder: Path) -> None:
    (folder / "photographs" / "Black Water.jpg").write_bytes(b"\xff\xd8\xff")
    asks = by_name(asked(folder))
    assert asks["Black Water.jpg"].state == "unreadable"
    assert "'Black Water.jpg', cannot be read" in " ".join(request_letters(asked(folder))[0].text.split())


def test_an_uncertain_match_is_to_be_confirmed_and_in_no_letter(asked: Asked, folder: Path) -> None:
    with (folder / "cutlist.csv").open("a") as file:
        file.write("07,360,50,hill II,,\n")
    made = asked(folder)
    ask = next(ask for ask in made.asks if ask.state == "unsure")
    assert "'hill.png'" in ask.remark
    assert "hill II" in request_csv(made)
    assert not any("hill II" in letter.text for letter in request_letters(made))


def test_the_table_reads_back_with_a_row_each(asked: Asked, folder: Path) -> None:
    rows = list(csv.DictReader(io.StringIO(request_csv(asked(folder)), newline="")))
    assert tuple(rows[0]) == COLUMNS
    row = next(row for row in rows if row["file"] == "sea.png")
    assert (row["owner"], row["work"], row["long side"], row["width"], row["height"]) == (
        *("Tamsin Orrelby", "High Water, 1991"),
        *("500", "500", "375"),
    )
    assert (row["width now"], row["least height"], row["slots"]) == ("400", "360", "01")
    assert row["why"] == "slot 01 at 00:00:00:00, 2.0 s, push in: 320×180 frame at zoom 1.5"


def test_no_cell_is_a_formula() -> None:
    # OWASP, "CSV Injection": =, +, - and @ at the beginning of a cell
    asks = tuple(Ask(f"{sign}1+1", "missing", "a", "", None, Size(1, 1), False, ()) for sign in "=+-@")
    rows = list(csv.reader(io.StringIO(request_csv(Request("f", asks)), newline="")))[1:]
    assert [row[0] for row in rows] == ["'=1+1", "'+1+1", "'-1+1", "'@1+1"]


def test_a_letter_names_file_size_need_and_reason(asked: Asked, folder: Path) -> None:
    letters = request_letters(asked(folder))
    assert [letter.file for letter in letters] == [
        "01 Tamsin Orrelby.txt",
        "02 Kettle Lane Gallery Brantmouth.txt",
        "03 owner not known.txt",
    ]
    words = " ".join(letters[0].text.split())
    assert "Dear Tamsin Orrelby," in words
    assert "1. High Water, 1991 The file we have is 'sea.png', 400×300 px" in words
    assert "Needed: at least 500 px on the long side (500×375 px)." in words
    assert "For: slot 01 at 00:00:00:00, 2.0 s, push in: 320×180 frame at zoom 1.5." in words
    assert "2. Black Water, 2018 We have no photograph of it yet." in words
    assert "Dear [name]," in letters[2].text
    assert max(len(line) for line in letters[0].text.splitlines()) <= 72


def test_nobodys_line_break_makes_a_paragraph_of_its_own() -> None:
    ask = Ask("A\nB", "missing", "a\n\nRegards", "", None, Size(1, 1), False, ())
    text = request_letters(Request("f\n\nf", (ask,)))[0].text
    assert "Dear A B," in text
    assert "1. a Regards" in text


def test_json_holds_sizes_and_uses(asked: Asked, folder: Path) -> None:
    data = json.loads(json.dumps(asked(folder).as_json()))
    row = next(row for row in data["asks"] if row["file"] == "sea.png")
    assert (row["long_side"], row["needed"]) == (500, {"width": 480, "height": 360})
    assert [use["slot"] for use in row["uses"]] == ["01"]


def test_nothing_is_written_and_a_film_with_all_it_needs_asks_for_nothing(
    tmp_path: Path, photograph: Photo, listing: Callable[[Path], dict[str, str]]
) -> None:
    photograph(tmp_path / "hill.png", 600, 400)
    before = listing(tmp_path)
    prepared = prepare(tmp_path, Options(frame="320x180"))
    made = request([prepared])
    assert [ask for ask in made.asks if ask.state != "sharper"] == []
    assert listing(tmp_path) == before


def test_a_request_of_no_delivery_is_a_mistake() -> None:
    with pytest.raises(ValueError, match="at least one delivery"):
        request([])


@pytest.mark.parametrize(
    ("credit", "owner"),
    [
        ("Oda Velkerman, High Water, 1991. Photo: Tamsin Orrelby", "Tamsin Orrelby"),
        ("Photograph by Jarek Lindquore.", "Jarek Lindquore"),
        ("Oda Velkerman, Nine Signals, 1998. Kettle Lane Gallery, Brantmouth", "Kettle Lane Gallery, Brantmouth"),
        ("Courtesy of the Port of Brantmouth", "the Port of Brantmouth"),
        ("© 2018 Oda Velkerman", "Oda Velkerman"),
        ("Collection of the artist", "Collection of the artist"),
        ("A. Name", "A. Name"),
        ("", ""),
    ],
)
def test_the_one_to_ask_is_found_in_a_credit_line(credit: str, owner: str) -> None:
    assert owner_in(credit) == owner


def test_the_works_lists_photographer_comes_before_everything() -> None:
    work = Work("1", "High Water", photographer="Tamsin Orrelby", credit="Photo: Jarek Lindquore")
    assert named_owner(work, "from the file", "Photo: from the cut list") == "Tamsin Orrelby"
    assert named_owner(None, "from the file", "Photo: from the cut list") == "from the file"
    assert named_owner(None, "", "Photo: from the cut list") == "from the cut list"


@given(st.integers(1, 60_000), st.integers(1, 60_000))
def test_rounding_never_asks_for_less_and_keeps_the_shape(width: int, height: int) -> None:
    rounded = rounded_up(Size(width, height))
    assert rounded.width >= width
    assert rounded.height >= height
    assert max(rounded.width, rounded.height) % STEP == 0
    assert max(rounded.width, rounded.height) - max(width, height) < STEP
    short, long = sorted((rounded.width, rounded.height))
    assert abs(short - long * min(width, height) / max(width, height)) < 1 + 1e-6


def test_the_least_size_that_covers_others_has_the_larger_of_each_side() -> None:
    assert covering([Size(3, 9), Size(5, 2)]) == Size(5, 9)
