"""Words on screen, from cut list and film.toml to clips; read back from FFV1, which loses nothing (RFC 9043).

Reading speed: 160 to 180 words a minute (common practice). Safe area: SMPTE ST 2046-1.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from kenburns.card_wishes import caption_of, card_of, parts_of
from kenburns.cards.kinds import Caption, Chapter, Kind, Quote, Title
from kenburns.cards.layout import title_safe
from kenburns.cards.look import Look, rgb
from kenburns.cards.passages import Screen
from kenburns.cards.screens import screen_picture
from kenburns.composing import shot_clip
from kenburns.cutlist.slots import Slot
from kenburns.cutlist.table import read_table
from kenburns.cutlist.works import Work
from kenburns.desk.state import film_state
from kenburns.errors import FilmFileError
from kenburns.film import load_film
from kenburns.job import Outcome, make
from kenburns.motion.geometry import Size
from kenburns.motion.timebase import parse_rate
from kenburns.plan.document import PlannedSlot, read_plan
from kenburns.prepare import Options, prepare, prepare_all
from kenburns.presets import card_look
from kenburns.render.encode import planes
from kenburns.request import request
from kenburns.status import status

Photo = Callable[..., Path]

FRAME = Size(480, 270)
SAID = "“I never painted the sea. I painted the weather that had been there before me, and the light it left.”"
CUTS = f"""slot,start,length,wanted,still,shot,card,words,caption
01,0,30,,,,title,Salt and Linen | a film by Ilse Marrow,
02,40,20,,,,chapter,II | The Winters,
03,80,40,,,,quote,"{SAID * 9} | Edda Holm",
04,140,12,the sea,sea.png,hold,,,
05,160,30,,,,credits,,
06,200,50,,,,roll,,
07,260,20,the sea,,,caption,,
08,300,10,,,,chapter,a 🎞 of one’s own,
09,320,10,Black Water,,,,,
"""
WORKS = (
    "title,year,medium,height cm,width cm,photographer,file\nthe sea,1972,oil on linen,120,160,Tomas Brekke,sea.png\n"
)


@pytest.fixture(scope="module")
def film(tmp_path_factory: pytest.TempPathFactory, photograph: Photo) -> Path:
    folder = tmp_path_factory.mktemp("words")
    photograph(folder / "photographs" / "sea.png", 800, 600)
    (folder / "cutlist.csv").write_text(CUTS)
    (folder / "works.csv").write_text(WORKS)
    (folder / "film.toml").write_text(
        '[film]\nframe = "480x270"\ncodec = "archive"\nhandles = 2\ncaptions = "overlay"\n'
    )
    return folder


@pytest.fixture(scope="module")
def outcome(film: Path) -> Outcome:
    return make(film)


def slot(outcome: Outcome, name: str) -> PlannedSlot:
    return next(slot for slot in outcome.plan.slots if slot.slot == name)


def pictures(outcome: Outcome, name: str) -> list[NDArray[np.uint8]]:
    with av.open(str(outcome.out / slot(outcome, name).file)) as clip:
        return [np.asarray(frame.to_ndarray(format="rgb24"), np.uint8) for frame in clip.decode(video=0)]


def lumas(path: Path) -> list[NDArray[np.float32]]:
    with av.open(str(path)) as clip:
        return [np.array(planes(frame)[0]).astype(np.float32) for frame in clip.decode(video=0)]


def test_every_card_of_words_has_its_slots_frames_and_shows_what_was_drawn(outcome: Outcome) -> None:
    for name in ("01", "02", "05", "07"):
        planned, shown = slot(outcome, name), pictures(outcome, name)
        assert planned.words is not None
        assert len(shown) == planned.frames + 2 * 2
        drawn = screen_picture(planned.words.screens[0].screen(), FRAME, Look())
        # 8-bit R'G'B' through 10-bit Y'CbCr and back: within 2 levels.
        assert np.abs(shown[0].astype(int) - drawn).max() <= 2
        assert np.array_equal(shown[0], shown[-1])


def test_too_much_text_goes_on_at_whole_frames_and_is_flagged(outcome: Outcome) -> None:
    planned, shown = slot(outcome, "03"), pictures(outcome, "03")
    assert planned.words is not None
    counts = [screen.frames for screen in planned.words.screens]
    assert len(counts) > 1
    assert sum(counts) == planned.frames
    cuts = [n for n, (one, two) in enumerate(pairwise(shown), 1) if not np.array_equal(one, two)]
    assert cuts == [2 + sum(counts[:n]) for n in range(1, len(counts))]
    assert planned.words.notes == (f"its text goes on over {len(counts)} cards",)
    assert all("too short for its" in flag for flag in planned.flags)
    assert f"quote card '“I never painted the sea. I painted the…' 1 of {len(counts)}: stands" in planned.flags[0]


def test_every_row_of_a_roll_moves_by_the_same_whole_number_in_the_clip(outcome: Outcome) -> None:
    planned = slot(outcome, "06")
    assert planned.words is not None
    step, frames = planned.words.step, lumas(outcome.out / planned.file)
    assert step >= 1
    assert len(frames) == planned.frames + 2 * 2
    inner = frames[2:-2]
    for before, after in pairwise(inner):
        assert np.array_equal(after[: FRAME.height - step], before[step : FRAME.height])
    assert len(np.unique(inner[0][: FRAME.height])) == len(np.unique(inner[-1][: FRAME.height])) == 1
    assert len(np.unique(inner[len(inner) // 2][: FRAME.height])) > 2


def test_credits_name_whoever_photographed_what_the_film_shows(outcome: Outcome) -> None:
    words = slot(outcome, "05").words
    assert words is not None
    assert [text.text for text in words.screens[0].texts] == ["Photographs", "Tomas Brekke"]


def test_a_caption_is_made_from_the_works_list(outcome: Outcome) -> None:
    words = slot(outcome, "07").words
    assert words is not None
    said = [text.text for text in words.screens[0].texts]
    assert said == ["the sea, 1972", "oil on linen", "120 × 160 cm", "Photograph: Tomas Brekke"]


def test_a_card_that_cannot_be_set_stays_a_placeholder_that_says_why(outcome: Outcome) -> None:
    planned = slot(outcome, "08")
    assert planned.placeholder
    assert planned.card is not None
    assert planned.card.reason.startswith("chapter card 'a 🎞 of one’s own': no typeface has '🎞' U+1F39E FILM FRAMES")
    assert any(line.startswith("slot '08': chapter card") for line in outcome.attention)
    assert len(pictures(outcome, "08")) == planned.frames + 2 * 2


def test_a_clip_has_a_caption_to_lay_over_it_inside_the_safe_area(outcome: Outcome) -> None:
    assert [path.name for path in (outcome.out / "captions").iterdir()] == ["04.png"]
    with Image.open(outcome.out / "captions" / "04.png") as picture:
        assert (picture.mode, picture.size) == ("RGBA", (480, 270))
        alpha = np.asarray(picture)[..., 3]
    area = title_safe(FRAME)
    inside = alpha[area.top : area.top + area.height, area.left : area.left + area.width]
    assert inside.any()
    assert inside.astype(int).sum() == alpha.astype(int).sum()


def test_words_count_as_finished_and_are_asked_of_nobody(film: Path, outcome: Outcome) -> None:
    prepared = prepare_all(film, Options())
    found = status(prepared)
    assert found.placeholder == ("08", "09")
    assert found.finished == ("01", "02", "03", "04", "05", "06", "07")
    assert {use.slot for ask in request(prepared).asks for use in ask.uses} == {"09"}
    timeline = json.loads((outcome.out / "film.otio").read_text())
    stills, cards = timeline["tracks"]["children"]
    names = [[child["name"] for child in track["children"] if child["name"]] for track in (stills, cards)]
    assert names[1] == ["a 🎞 of one’s own", "Black Water"]
    assert "II – The Winters" in names[0]


def test_the_desk_is_told_what_each_card_is(film: Path) -> None:
    told = {each["slot"]: each for each in film_state(prepare(film, Options()))["slots"]}
    assert (told["01"]["verdict"], told["01"]["shown_as"]) == ("words", "title card")
    assert (told["06"]["verdict"], told["06"]["shown_as"]) == ("words", "roll of credits")
    assert told["06"]["notes"][0].startswith("it rolls by ")
    assert (told["08"]["verdict"], told["09"]["verdict"]) == ("missing", "missing")


def test_the_plan_reads_back_and_one_from_before_there_were_words_too(outcome: Outcome, tmp_path: Path) -> None:
    assert read_plan(outcome.out / "plan.json") == outcome.plan
    old = json.loads((outcome.out / "plan.json").read_text())
    for each in old["slots"]:
        for key in ("words", "overlay", "rights"):
            del each[key]
    (tmp_path / "plan.json").write_text(json.dumps(old))
    assert read_plan(tmp_path / "plan.json").slots[0].words is None


def test_the_same_card_comes_as_a_moviepy_clip(film: Path, outcome: Outcome) -> None:
    clip = shot_clip(outcome.plan, "02", film / "photographs")
    drawn = screen_picture(_words(slot(outcome, "02")), FRAME, Look())
    assert np.abs(np.asarray(clip.get_frame(0), int) - drawn).max() <= 2


def _words(planned: PlannedSlot) -> Screen:
    assert planned.words is not None
    return planned.words.screens[0].screen()


@pytest.fixture
def small(tmp_path: Path, photograph: Photo) -> Path:
    photograph(tmp_path / "photographs" / "sea.png", 640, 480)
    (tmp_path / "film.toml").write_text('[film]\nframe = "192x108"\ncodec = "archive"\ncard = "soft"\n')
    (tmp_path / "cutlist.csv").write_text("slot,start,length,wanted,still,card,words\n1,0,4,,sea.png,title,Linen\n")
    return tmp_path


def test_letters_stand_still_on_a_ground_that_comes_closer(small: Path) -> None:
    outcome = make(small)
    first, *_, last = pictures(outcome, "1")
    words = slot(outcome, "1").words
    assert words is not None
    assert words.still is not None
    # 3 steps of at most 192 px in 7 s, at the corners of a half diagonal of 110.1 px: 1 + 3 * 1.0971 / 110.1.
    assert words.closest == pytest.approx(1.0299, abs=1e-4)
    look = card_look("soft")
    ink = (screen_picture(words.screens[0].screen(), Size(192, 108), look) == rgb(look.ink)).all(axis=2)
    assert ink.any()
    assert np.abs(first[ink].astype(int) - rgb(look.ink)).max() <= 2
    assert np.array_equal(first[ink], last[ink])
    assert not np.array_equal(first[~ink], last[~ink])


def test_a_photograph_softened_behind_words_is_used_and_credited(small: Path) -> None:
    (small / "works.csv").write_text("title,file,photographer\nthe sea,sea.png,Tomas Brekke\n")
    (small / "film.toml").write_text((small / "film.toml").read_text() + '[slots.2]\ncard = "credits"\n')
    with (small / "cutlist.csv").open("a") as file:
        file.write("2,20,50,names,,,\n")
    words = prepare(small, Options()).plan.slots[1].words
    assert words is not None
    assert [text.text for text in words.screens[0].texts] == ["Photographs", "Tomas Brekke"]


def test_a_recut_that_only_moves_words_makes_nothing(small: Path) -> None:
    make(small)
    cuts = (small / "cutlist.csv").read_text()
    (small / "cutlist.csv").write_text(cuts.replace("1,0,4", "1,50,4"))
    assert make(small).rendered == ()
    (small / "cutlist.csv").write_text(cuts.replace("Linen", "Salt"))
    assert make(small).rendered == ("1",)


def test_captions_go_when_they_are_not_wanted_any_more(small: Path) -> None:
    settings = (small / "film.toml").read_text()
    (small / "cutlist.csv").write_text("slot,start,length,wanted,still,caption\n1,0,50,,sea.png,High Water\n")
    (small / "film.toml").write_text(settings + 'captions = "overlay"\n')
    out = make(small).out
    assert (out / "captions" / "1.png").is_file()
    (small / "film.toml").write_text(settings)
    make(small)
    assert not (out / "captions" / "1.png").exists()


def test_a_picture_of_the_person_s_own_among_the_captions_stays(small: Path) -> None:
    (small / "cutlist.csv").write_text("slot,start,length,wanted,still\n1,0,50,,sea.png\n")
    own = small / "out" / "captions" / "1.png"
    own.parent.mkdir(parents=True)
    own.write_bytes(b"mine")
    make(small)
    assert own.read_bytes() == b"mine"


def test_who_is_to_be_named_is_told_and_keeps_no_run_from_being_done(small: Path) -> None:
    (small / "cutlist.csv").write_text("slot,start,length,wanted,still\n1,0,50,,sea.png\n")
    made = make(small)
    assert slot(made, "1").rights == (
        "nobody to name for 'sea.png': add its photographer or credit line to the works list",
    )
    assert made.attention == ()
    assert any("nobody to name" in line for line in made.remarks)
    assert any(line.startswith("This is a checklist and not legal advice") for line in made.remarks)


@pytest.mark.parametrize(
    ("works", "said"),
    [
        ("title,file,photographer\nthe sea,sea.png,T. B.\n", ()),
        (
            "title,file,photographer,permission\nthe sea,sea.png,T. B.,asked\n",
            ("permission to show 'sea.png' is recorded as asked: write 'given' in the works list once it is",),
        ),
        ("title,file,photographer,permission\nthe sea,sea.png,T. B.,given\n", ()),
    ],
    ids=["no column", "asked", "given"],
)
def test_permission_is_asked_after_where_the_works_list_records_it(
    small: Path, works: str, said: tuple[str, ...]
) -> None:
    (small / "works.csv").write_text(works)
    assert prepare(small, Options()).plan.slots[0].rights == said


def test_words_without_a_card_are_told_of(small: Path) -> None:
    (small / "cutlist.csv").write_text("slot,start,length,wanted,still\n1,0,50,,sea.png\n")
    (small / "film.toml").write_text((small / "film.toml").read_text() + '[slots.1]\nwords = "Salt"\n')
    said = "slot '1' has words and no card for them; name one in 'card': title, chapter, quote, caption, credits, roll"
    assert said in prepare(small, Options()).remarks


# What a card says.


@pytest.mark.parametrize(
    ("card", "words", "kind"),
    [
        ("title", "Salt | a film | by Ilse", Title("Salt", "a film", "by Ilse")),
        ("chapter", "The Winters", Chapter("The Winters")),
        ("chapter", "II | The Winters", Chapter("The Winters", "II")),
        ("quote", "“No.” | Edda", Quote("“No.”", "Edda")),
        ("caption", "Harbour, 1972 | oil", Caption("Harbour, 1972", medium="oil")),
    ],
)
def test_words_are_a_cards_parts_from_top_to_bottom(card: str, words: str, kind: Kind) -> None:
    assert card_of(Slot("1", 0, 25, "", card=card, words=words), None, ()) == kind
    assert [passage.text for passage in kind.passages if passage.text] == list(parts_of(words))


@pytest.mark.parametrize(
    ("card", "words", "rule"),
    [
        ("title", " | ", "a title card needs words: the title, what stands below it, whose film it is, with | between"),
        ("chapter", "a | b | c", "a chapter card has at most 2 parts .* not 3; use fewer"),
        ("caption", "", "the works list has no work that this slot is surely about; name it in 'wanted'"),
        ("roll", "", "nobody is named for any photograph in the film"),
    ],
)
def test_a_card_with_nothing_to_say_or_too_much_says_what_would_work(card: str, words: str, rule: str) -> None:
    with pytest.raises(ValueError, match=rule):
        card_of(Slot("1", 0, 25, "", card=card, words=words), None, ())


def test_a_caption_of_ones_own_goes_before_title_and_year() -> None:
    work = Work("3", "Harbour", year="1972", height_cm=40.5, width_cm=60, medium="oil")
    assert caption_of("", work) == Caption("Harbour", year="1972", medium="oil", size="40.5 × 60 cm")
    assert caption_of("Hafen (1972)", work) == Caption("Hafen (1972)", medium="oil", size="40.5 × 60 cm")
    assert caption_of("", None) is None
    assert caption_of("", Work("3", "")) == Caption("no. 3")


def test_a_kind_of_card_that_there_is_not_is_told_in_table_and_film_file(tmp_path: Path) -> None:
    (tmp_path / "cutlist.csv").write_text("slot,start,length,card,words\n1,0,25,Chapter,a\n2,25,25,poster,a\n")
    read = read_table(tmp_path / "cutlist.csv", parse_rate("25"))
    assert [each.card for each in read.slots] == ["chapter", ""]
    assert str(read.problems[0]) == (
        "line 3, column 'card': no card of words is called 'poster'; title, chapter, quote, caption, credits, roll "
        "would work; the slot shows what is wanted instead"
    )
    (tmp_path / "film.toml").write_text('[slots.1]\ncard = "poster"\n')
    with pytest.raises(
        FilmFileError, match="must be one of title, chapter, quote, caption, credits, roll, not 'poster'"
    ):
        load_film(tmp_path / "film.toml")
