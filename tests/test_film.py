"""What film.toml may say, and what its messages say where it breaks a rule."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from kenburns.errors import FilmFileError
from kenburns.film import Film, Folders, Settings, SlotEdit, StillEdit, load_film
from kenburns.motion.geometry import Rect


def film(folder: Path, text: str) -> Path:
    path = folder / "film.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_an_empty_file_is_a_film_of_defaults(tmp_path: Path) -> None:
    assert load_film(film(tmp_path, "")) == Film()
    settings = Film().settings
    assert (settings.rate, settings.frame, settings.codec, settings.pacing) == (Fraction(25), "hd", "edit", "steady")
    assert (settings.card, settings.matte, settings.handles) == ("plain", "#161616", 0)
    assert (settings.start, settings.zoom, settings.title) == (None, None, "")
    assert Film().folders == Folders(photographs="photographs", cut_list="cutlist.csv", works="works.csv", out="out")


EVERYTHING = """
[film]
title = "The Salt Room"
rate = "30000/1001"
frame = "3840×2160"
codec = "archive"
pacing = "gentle"
card = "plain"
matte = "#202224"
handles = 12
start = "01:00:00;00"
zoom = 2

[folders]
photographs = "scans"
cut_list = "lists/third cut.csv"
works = "lists/works.csv"
out = "../clips"

[stills."plates/sea.jpg"]
outline = [10, 20.5, 300, 200]
square_up = true
details = [[0, 0, 64, 36], [100, 100, 192.5, 108]]
title = "Sea"
credit = "Photograph: N. Orrin"

[slots.12]
still = "plates/sea.jpg"
shot = "push in"
easing = "cubic-bezier(0.25, 0.1, 0.25, 1)"
head = 0.5
tail = 1
details = [2, 1]
note = "calm"
"""


def test_every_key_is_read_as_it_is_written(tmp_path: Path) -> None:
    read = load_film(film(tmp_path, EVERYTHING))
    assert read.settings.rate == Fraction(30000, 1001)
    assert (read.settings.frame, read.settings.start, read.settings.zoom) == ("3840×2160", "01:00:00;00", 2.0)
    assert read.folders.cut_list == "lists/third cut.csv"
    assert read.still("plates/sea.jpg") == StillEdit(
        outline=[10, 20.5, 300, 200],
        square_up=True,
        details=[[0, 0, 64, 36], [100, 100, 192.5, 108]],
        title="Sea",
        credit="Photograph: N. Orrin",
    )
    assert read.still("plates/sea.jpg").outline == ((10, 20.5), (310, 20.5), (310, 220.5), (10, 220.5))
    assert read.still("plates/sea.jpg").details == (Rect(0, 0, 64, 36), Rect(100, 100, 192.5, 108))
    slot = read.slot("12")
    assert (slot.still, slot.shot, slot.head, slot.tail) == ("plates/sea.jpg", "push in", 0.5, 1.0)
    assert (slot.easing, slot.details, slot.note) == ("cubic-bezier(0.25, 0.1, 0.25, 1)", (2, 1), "calm")


def test_a_delivery_is_the_film_with_some_settings_changed(tmp_path: Path) -> None:
    read = load_film(film(tmp_path, '[film]\nhandles = 5\n[deliveries.vertical]\nframe = "vertical-hd"\n'))
    assert read.delivered("vertical") == read.settings.model_copy(update={"frame": "vertical-hd"})
    assert read.delivered("vertical").handles == 5


def test_slots_under_other_ids_keep_what_was_set_by_hand(tmp_path: Path) -> None:
    read = load_film(film(tmp_path, '[slots.12]\nnote = "a"\n[slots.13]\nnote = "b"\n'))
    moved = read.with_slots({"12": "13", "13": "12"})
    assert (moved.slot("13").note, moved.slot("12").note) == ("a", "b")


def test_a_stop_may_reach_beyond_the_photograph_and_a_detail_may_not(tmp_path: Path) -> None:
    read = load_film(film(tmp_path, "[slots.1]\nstops = [[-600, 0, 4800, 2700]]\n"))
    assert read.slot("1").stops == (Rect(-600, 0, 4800, 2700),)
    with pytest.raises(FilmFileError, match="x and y at least 0"):
        load_film(film(tmp_path, '[stills."a.jpg"]\ndetails = [[-600, 0, 4800, 2700]]\n'))
    with pytest.raises(FilmFileError, match="which a view may reach beyond; sides above 0"):
        load_film(film(tmp_path, "[slots.1]\nstops = [[-600, 0, 0, 2700]]\n"))


def test_an_outline_may_be_four_corners(tmp_path: Path) -> None:
    corners = '[stills."sea.jpg"]\noutline = [[10, 20], [300, 24.5], [310, 220], [12, 200]]\n'
    assert load_film(film(tmp_path, corners)).still("sea.jpg").outline == ((10, 20), (300, 24.5), (310, 220), (12, 200))


def test_a_still_or_slot_that_the_file_does_not_name_is_as_planned() -> None:
    assert Film().still("sea.jpg") == StillEdit()
    assert Film().slot("12") == SlotEdit()


def test_a_name_with_its_accents_apart_finds_the_one_with_its_accents_together(tmp_path: Path) -> None:
    # Unicode Standard Annex 15: "é" is U+00E9 in form NFC and U+0065 U+0301 in form NFD.
    apart, together = "cafe\u0301.jpg", "caf\u00e9.jpg"
    for written, asked in ((apart, together), (together, apart)):
        read = load_film(film(tmp_path, f'[stills."{written}"]\ntitle = "Café"\n'))
        assert read.still(asked).title == "Café"


@pytest.mark.parametrize(
    ("written", "rate"),
    [
        ("25", Fraction(25)),
        ("25.0", Fraction(25)),
        ("23.976", Fraction(24000, 1001)),
        ("29.97", Fraction(30000, 1001)),
        ("59.94", Fraction(60000, 1001)),
        ('"24"', Fraction(24)),
        ('"60000/1001"', Fraction(60000, 1001)),
    ],
)
def test_a_rate_may_be_a_number_or_text(tmp_path: Path, written: str, rate: Fraction) -> None:
    assert load_film(film(tmp_path, f"[film]\nrate = {written}\n")).settings.rate == rate


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("[film]\nrate = 26", r"[film] rate: frame rate '26' is not known; use 23.976, 24, 25"),
        ("[film]\nrate = true", r'[film] rate: must be frames a second, such as 25 or "30000/1001", not True'),
        ("[film]\nrate = nan", r"[film] rate: frame rate 'nan' is not known"),
        ('[film]\nframe = "hdd"', r"[film] frame: frame 'hdd' is neither a preset nor WIDTHxHEIGHT; perhaps"),
        ('[film]\nframe = "1921x1080"', r"[film] frame: frame '1921x1080': sides are even and from 64 to 16384 px"),
        ('[film]\nframe = "128x72"', r"[film] frame: frame 128x72: codec 'edit' needs at least 256x120 px"),
        ('[film]\ncodec = "edti"', r"[film] codec: no codec preset is named 'edti'; perhaps edit"),
        ('[film]\npacing = "fast"', r"[film] pacing: no pacing preset is named 'fast'; there are free, gentle, steady"),
        ('[film]\ncard = "loud"', r"[film] card: no card look preset is named 'loud'; there are plain"),
        ('[film]\nmatte = "grey"', r"""[film] matte: must be a colour such as "#161616", not 'grey'"""),
        ("[film]\nhandles = -1", r"[film] handles: must be a whole number of frames from 0 to 1000, not -1"),
        ("[film]\nhandles = 1.5", r"[film] handles: must be a whole number of frames from 0 to 1000, not 1.5"),
        ("[film]\nzoom = 0.5", r"[film] zoom: must be a number from 1, the whole picture, to 100, not 0.5"),
        ("[film]\nzoom = inf", r"[film] zoom: must be a number from 1, the whole picture, to 100, not inf"),
        ('[film]\nstart = "10:00"', r"[film] start: timecode '10:00' is not HH:MM:SS:FF"),
        ('[film]\nstart = "00:00:00;00"', r"[film] start: timecode 00:00:00;00: drop-frame exists at"),
        ("[film]\ntitle = 5", r"[film] title: must be text in quotes, not 5"),
        (
            '[film]\nfram = "hd"',
            r"[film] has no key 'fram'; perhaps 'frame' was meant; the keys are title, rate, frame",
        ),
        (
            "[flim]",
            r"has no key 'flim'; perhaps 'film' was meant; the keys are film, folders, deliveries, stills, slots",
        ),
        ("film = 5", r"film: must be a table of keys, not 5"),
        ("stills = 5", r"stills: must be a table of keys, not 5"),
        ('[folders]\nout = ""', r"[folders] out: must be text of at least one letter, not ''"),
        (
            '[stills."a.jpg"]\noutline = [0, 0, 0, 5]',
            r'[stills."a.jpg"] outline: must be [x, y, width, height] in pixels',
        ),
        *(
            (
                f'[stills."a.jpg"]\noutline = {corners}',
                r'[stills."a.jpg"] outline: must be [x, y, width, height], or four corners [[x, y]',
            )
            for corners in (
                "[[0, 0], [0, 9], [9, 9], [9, 0]]",  # the other way round
                "[[0, 0], [9, 9], [9, 0], [0, 9]]",  # crossed
                "[[0, 0], [9, 0], [9, 9]]",
                "[[0, 0], [9, 0], [9, 9], [0, -9]]",
                "[[0, 0], [9, 0], [9, 9], 5]",
            )
        ),
        (
            '[deliveries.vertical]\nframe = "huge"',
            "[deliveries.vertical] frame: ",
        ),
        ('[deliveries."up/down"]\nframe = "hd"', '[deliveries."up/down"]: must be a folder'),
        ('[stills."a.jpg"]\nsquare_up = 1', r'[stills."a.jpg"] square_up: must be true or false'),
        ('[stills."a.jpg"]\noutline = [0, 0, 5]', r'[stills."a.jpg"] outline: must be [x, y, width, height], or four'),
        ('[stills."a.jpg"]\noutline = [-1, 0, 5, 5]', r'[stills."a.jpg"] outline: must be'),
        ('[stills."a.jpg"]\noutline = [0, 0, inf, 5]', r'[stills."a.jpg"] outline: must be'),
        ('[stills."a.jpg"]\ndetails = [[0, 0, 9, 9], [1]]', r'[stills."a.jpg"] details, item 2: must be [x, y, width,'),
        ('[stills."a.jpg"]\ndetails = "all"', r'[stills."a.jpg"] details: must be a list of rectangles, each [x, y,'),
        ('[stills."a.jpg"]\nouline = []', r"""[stills."a.jpg"] has no key 'ouline'; perhaps 'outline' was meant"""),
        ('[slots.12]\nshot = "spin"', r'[slots."12"] shot: '),
        ("[slots.12]\nshot = 1", r'[slots."12"] shot: must be a shot in quotes, such as "push in", not 1'),
        ('[slots.12]\neasing = "bouncy"', r"""[slots."12"] easing: easing 'bouncy' is not known; use linear"""),
        ("[slots.12]\nhead = -1", r'[slots."12"] head: must be a number of seconds from 0 to 3600, not -1'),
        ("[slots.a]\ndetails = [1, 1]", r"[slots.a] details: must be detail numbers as on the contact sheet"),
        ("[slots.a]\ndetails = [0]", r"[slots.a] details: must be detail numbers as on the contact sheet"),
        ("[slots]\na = 1", r"[slots] a: must be a table of keys, not 1"),
        ("[film", r"must be TOML, as in"),
    ],
)
def test_what_breaks_a_rule_is_named_by_file_key_rule_and_value(tmp_path: Path, text: str, message: str) -> None:
    with pytest.raises(FilmFileError, match=r"^'film\.toml'.{0,2}" + re.escape(message)):
        load_film(film(tmp_path, text))


def test_all_broken_keys_are_named_at_once(tmp_path: Path) -> None:
    with pytest.raises(FilmFileError) as caught:
        load_film(film(tmp_path, '[film]\nhandles = -1\nmatte = "red"\n[slots.12]\nhead = "long"\n'))
    assert len(str(caught.value).splitlines()) == 3


def test_a_long_value_is_cut_short_in_the_message(tmp_path: Path) -> None:
    with pytest.raises(FilmFileError) as caught:
        load_film(film(tmp_path, f'[film]\nmatte = "{"x" * 5000}"\n'))
    assert len(str(caught.value)) < 200


def test_a_film_may_name_presets_of_its_own(tmp_path: Path) -> None:
    (tmp_path / "presets" / "frames").mkdir(parents=True)
    (tmp_path / "presets" / "frames" / "wall.toml").write_text('summary = "wall"\nwidth = 5760\nheight = 1080\n')
    assert load_film(film(tmp_path, '[film]\nframe = "wall"\n')).settings.frame == "wall"


def test_a_byte_order_mark_is_let_pass(tmp_path: Path) -> None:
    (tmp_path / "film.toml").write_bytes(b"\xef\xbb\xbf[film]\r\nhandles = 3\r\n")
    assert load_film(tmp_path / "film.toml").settings.handles == 3


def test_a_film_once_read_cannot_be_changed() -> None:
    with pytest.raises(ValidationError):
        Settings().handles = 3  # type: ignore[misc]  # the point of the test


@given(text=st.text(alphabet='[]{}="#.,\nfilmstoral1-:é ', max_size=60))
def test_any_text_is_a_film_or_a_film_file_error(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    path = film(tmp_path_factory.getbasetemp(), text)
    try:
        said = ""
        load_film(path)
    except FilmFileError as wrong:
        said = str(wrong)
    assert not said or said.startswith("'film.toml'")
