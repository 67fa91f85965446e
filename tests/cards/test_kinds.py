from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kenburns.cards.drawing import Pixels, panel_alpha
from kenburns.cards.ground import Drift, drift, softened
from kenburns.cards.kinds import Caption, Chapter, Credit, Credits, Kind, Quote, Title
from kenburns.cards.layout import title_safe
from kenburns.cards.look import LEAST_CONTRAST, Look, contrast, rgb
from kenburns.cards.over_picture import overlay_picture, overlay_screen
from kenburns.cards.passages import Passage, Screen
from kenburns.cards.reading import reading_seconds, too_short, words
from kenburns.cards.roll import Roll, roll, roll_picture, roll_row
from kenburns.cards.screens import reading_remarks, screen_frames, screen_picture, screens_of
from kenburns.motion.geometry import Size
from kenburns.presets import card_look, names

HD = Size(640, 360)
LOOK, CENTRED = Look(), Look(align="centre")
WORK = Caption("Winter Harbour", "Ilse Marrow", "1972", "oil on linen", "120 × 160 cm", "Photograph: Tomas Brekke")
SAID = "“I never painted the sea. I painted the weather that had been there before me, and the light it had left.”"
PHOTOGRAPHERS = tuple(
    f"{first} {last}" for first in ("Tomas", "Ilse", "Edda", "Joan") for last in ("Brekke", "Holm", "Vik")
)
CREDITS = Credits(
    (Credit("Photographs", PHOTOGRAPHERS), Credit("Courtesy of", ("Kunsthalle Vik", "Estate of Ilse Marrow")))
)

# Every script the typefaces have, words and marks of all lengths, and digits, which stand either way.
SCRIPTS = "The sea Åéŷ Ελλάδα Київ لوحة البحر הים בַּחֹרֶף चित्रक्षि 画海を한국어 0123 ١٢ (—) «» “” - / . , ¿"
TEXTS = st.text(st.sampled_from(SCRIPTS), min_size=1, max_size=240).filter(lambda text: bool(text.strip(" \u05b8")))
KINDS: dict[str, Callable[[str], Kind]] = {
    "title": lambda text: Title(text[:60]),
    "chapter": lambda text: Chapter(text[:60], text[:8]),
    "quote": lambda text: Quote(text, text[:30]),
    "caption": lambda text: Caption(text[:80], medium=text),
    "credits": lambda text: Credits((Credit(text[:20], tuple(text.split())),)),
}


def pictures(of: Kind, look: Look = LOOK, frame: Size = HD) -> list[Pixels]:
    return [screen_picture(screen, frame, look) for screen in screens_of(of, frame, look)]


def over(look: Look) -> Pixels:
    return overlay_picture(overlay_screen(WORK, HD, look), HD, look)


def outside_safe(picture: Pixels) -> Pixels:
    area = title_safe(HD)
    outside = np.ones(picture.shape[:2], bool)
    outside[area.top : area.top + area.height, area.left : area.left + area.width] = False
    return np.asarray(picture[outside])


@pytest.mark.parametrize("kind", KINDS)
@given(text=TEXTS, look=st.sampled_from([LOOK, CENTRED]))
@settings(max_examples=100)
def test_no_ink_leaves_the_title_safe_area(kind: str, text: str, look: Look) -> None:
    # SMPTE ST 2046-1, safe title area; five kinds of 100 texts each.
    cards = pictures(KINDS[kind](text), look)
    assert cards
    for picture in cards:
        assert picture.shape == (HD.height, HD.width, 3)
        assert (outside_safe(picture) == rgb(look.ground)).all()


def extreme(picture: Pixels, look: Look) -> str:
    """Return the colour of the pixel that stands out most from the ground."""
    flat = picture.reshape(-1, picture.shape[-1])[:, :3].astype(int)
    return "#{:02x}{:02x}{:02x}".format(*flat[np.abs(flat - rgb(look.ground)).sum(axis=1).argmax()])


@pytest.mark.parametrize("name", names("cards"))
def test_every_preset_reaches_seven_to_one_in_the_rendered_pixels(name: str) -> None:
    look = card_look(name)
    # WCAG 2.2, 1.4.6, on the ink and on the quiet ink, each on a card of its own.
    for title in (Title("Harbour"), Title("x", by="Harbour")):
        picture = pictures(title, look)[0]
        assert contrast(extreme(picture, look), "#{:02x}{:02x}{:02x}".format(*picture[0, 0])) >= LEAST_CONTRAST
    quiet = pictures(Title("x", by="Harbour"), look)[0]
    below = quiet[int(0.57 * HD.height) :]
    assert contrast(extreme(below, look), look.ground) >= LEAST_CONTRAST


@pytest.mark.parametrize("level", [0, 128, 255])
@pytest.mark.parametrize("look", [LOOK, Look(ground="#f2efe8", ink="#1b1a18", quiet="#454239")])
def test_a_caption_over_a_picture_keeps_seven_to_one_whatever_is_below(level: int, look: Look) -> None:
    rgba = over(look)
    alpha = rgba[..., 3:] / 255
    seen = np.rint(rgba[..., :3] * alpha + level * (1 - alpha)).astype(np.uint8)
    panel = rgba[..., 3] == panel_alpha(look)
    assert panel.any()
    ground = "#{:02x}{:02x}{:02x}".format(*seen[panel][0])
    assert contrast(look.quiet, ground) >= LEAST_CONTRAST
    assert contrast(look.ink, ground) >= LEAST_CONTRAST
    assert (outside_safe(rgba)[:, 3] == 0).all()


def test_a_caption_over_a_picture_leaves_most_of_it_clear() -> None:
    rgba = over(CENTRED)
    assert (rgba[..., 3] == 0).mean() > 0.8
    assert (rgba[: HD.height // 2, :, 3] == 0).all()


def test_text_from_the_right_stands_at_the_right() -> None:
    columns = np.flatnonzero((pictures(Chapter("הים"))[0] != rgb(LOOK.ground)).any(axis=(0, 2)))
    area = title_safe(HD)
    assert columns.min() > HD.width // 2
    assert area.left + area.width - columns.max() <= 4


def test_centred_lines_are_as_far_from_the_left_as_from_the_right() -> None:
    columns = np.flatnonzero((pictures(Chapter("HIH"), CENTRED)[0] != rgb(LOOK.ground)).any(axis=(0, 2)))
    assert abs(columns.min() - (HD.width - 1 - columns.max())) <= 4


def test_a_character_no_typeface_has_is_named_and_nothing_is_drawn() -> None:
    with pytest.raises(ValueError, match=r"title card 'The 🎞': no typeface has '🎞' U\+1F39E FILM FRAMES; Noto Sans"):
        screens_of(Title("The 🎞"), HD, LOOK)


def test_too_much_text_becomes_more_cards() -> None:
    cards = pictures(Quote("The tide went out and left the room to us. " * 36, "Ilse Marrow"))
    assert len(cards) > 2
    # About equally full: no card holds less than half of the ink of the fullest.
    inks = [int((picture != rgb(LOOK.ground)).any(axis=2).sum()) for picture in cards]
    assert min(inks) > max(inks) / 2


def test_a_title_that_cannot_be_read_is_refused_never_shrunk_below_the_floor() -> None:
    with pytest.raises(ValueError, match=r"title card .* 4[0-9]+ characters do not fit 576x324 px .* at 9 px an em"):
        screens_of(Title("tide " * 900), HD, LOOK)


def test_a_card_without_text_is_refused() -> None:
    with pytest.raises(ValueError, match="chapter card '' has no text"):
        screens_of(Chapter(" "), HD, LOOK)


def test_a_heading_is_repeated_and_never_ends_a_page() -> None:
    pages = pictures(CREDITS, frame=Size(640, 200))
    assert len(pages) >= 2
    for page in pages:
        rows = np.flatnonzero((page != rgb(LOOK.ground)).any(axis=(1, 2)))
        lines = np.count_nonzero(np.diff(rows) > 1) + 1
        assert lines >= 2


# Reading.


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("The sea, 1972 – oil", 4),
        ("", 0),
        ("冬の港", 1.5),
        ("겨울 항구", 2),
        ("لوحة البحر", 2),
        ("画 by Ilse", 2.5),
    ],
)
def test_words_are_counted_and_dense_scripts_by_the_pair(text: str, count: float) -> None:
    assert words(text) == count


def test_reading_time_at_the_two_usual_speeds() -> None:
    # Common practice: 160 to 180 words a minute; 16 words at 160 are 6 s, 18 at 180 are 6 s.
    assert reading_seconds("sea " * 16) == 6
    assert reading_seconds("sea " * 18, 180) == 6
    with pytest.raises(ValueError, match="above 0 words a minute"):
        reading_seconds("sea", 0)


def test_a_card_too_short_for_its_words_is_flagged() -> None:
    assert too_short("sea " * 18, 6) is None
    screens = screens_of(Quote(SAID), HD, LOOK)
    assert reading_remarks(screens, [30], "quote") == []
    (remark,) = reading_remarks(screens, [3], "quote")
    assert (
        "quote: stands 3.0 s, too short for its 21 words: they need 7.0 s at 180 words a minute, 7.9 s at 160" in remark
    )


def test_screens_share_the_frames_by_the_time_they_take_to_read() -> None:
    # 10 and 20 words in 92 frames: one each, and the other 90 as 1 to 2.
    two = [Screen((Passage("sea " * count, "body"),)) for count in (10, 20)]
    assert screen_frames(two, 92) == (31, 61)
    assert screen_frames([Screen((Passage("–", "body"),))], 7) == (7,)
    with pytest.raises(ValueError, match="needs 2 cards and the slot has 1 frames"):
        screen_frames(two, 1)


@given(st.lists(st.integers(0, 40), min_size=1, max_size=9), st.integers(9, 4000))
def test_screens_share_all_frames_and_each_has_one(counts: list[int], frames: int) -> None:
    shared = screen_frames([Screen((Passage("sea " * count, "body"),)) for count in counts], frames)
    assert sum(shared) == frames
    assert min(shared) >= 1


# The ground.


@pytest.mark.parametrize(
    "look", [card_look("soft"), Look(soft=0.02), Look(soft=0.1, ground="#f2efe8", ink="#1b1a18", quiet="#454239")]
)
def test_a_softened_still_keeps_seven_to_one_on_every_pixel(look: Look) -> None:
    rows = np.random.default_rng(5).integers(0, 256, (45, 120, 3), dtype=np.uint8)
    rows[:, :60], rows[:20, 60:] = 255, 0
    picture = softened(rows, HD, look)
    assert picture.shape == (HD.height, HD.width, 3)
    assert picture.std() > 1  # the still is there
    colours = np.unique(picture.reshape(-1, 3), axis=0)
    grounds = ["#{:02x}{:02x}{:02x}".format(*colour) for colour in colours]
    assert min(contrast(ink, ground) for ground in grounds for ink in (look.ink, look.quiet)) >= LEAST_CONTRAST


def test_a_drift_keeps_the_speed_limit_at_its_corners() -> None:
    look = Look(soft=0.02, drift=1.2)
    # Half a diagonal of 500 px (3-4-5): 0.5 px a frame over 101 frames is 0.1 of it at most.
    slow = drift(look, Size(800, 600), 101, 0.5)
    assert slow.closeness == pytest.approx(1.1)
    assert max(slow.at(k + 1) - slow.at(k) for k in range(100)) * 500 <= 0.5 + 1e-9
    assert drift(look, Size(800, 600), 101, 50.0).closeness == 1.2
    assert drift(LOOK, Size(800, 600), 101, 0.5) == Drift(1.0, 101)
    assert (slow.at(0), slow.at(100)) == (1.0, slow.closeness)


# The roll.


@pytest.fixture(scope="module")
def rolled() -> Roll:
    return roll(CREDITS, HD, LOOK, 900, Fraction(25))


@pytest.fixture(scope="module")
def frames(rolled: Roll) -> list[Pixels]:
    tall = roll_picture(rolled.screen, HD, LOOK)
    tops = [roll_row(n, rolled.step, len(tall), HD) for n in range(rolled.frames + 5)]
    return [tall[top : top + HD.height] for top in tops]


def test_every_row_of_a_roll_moves_by_the_same_whole_number(rolled: Roll, frames: list[Pixels]) -> None:
    assert isinstance(rolled.step, int)
    assert rolled.step >= 1
    for before, after in pairwise(frames):
        assert np.array_equal(after[: -rolled.step], before[rolled.step :])


def test_a_roll_starts_and_ends_bare_in_the_frames_it_is_given(rolled: Roll, frames: list[Pixels]) -> None:
    assert (frames[0] == rgb(LOOK.ground)).all()
    assert all((frame == rgb(LOOK.ground)).all() for frame in frames[rolled.frames - 1 :])
    assert (frames[rolled.frames // 2] != rgb(LOOK.ground)).any()
    assert rolled.frames <= 900


def test_a_roll_keeps_the_title_safe_width(rolled: Roll) -> None:
    area, picture = title_safe(HD), roll_picture(rolled.screen, HD, LOOK)
    assert (picture[:, : area.left] == rgb(LOOK.ground)).all()
    assert (picture[:, area.left + area.width :] == rgb(LOOK.ground)).all()


def test_a_roll_too_fast_to_read_says_which_length_would_do(rolled: Roll) -> None:
    assert rolled.remarks == ()
    (remark,) = roll(CREDITS, HD, LOOK, 30, Fraction(25)).remarks
    said = re.search(r"too fast to read: .* a slot of (\d+) frames \((\d+\.\d) s\) would do", remark)
    assert said is not None
    enough = int(said[1])
    assert float(said[2]) == pytest.approx(enough / 25, abs=0.05)
    assert roll(CREDITS, HD, LOOK, enough, Fraction(25)).remarks == ()
    with pytest.raises(ValueError, match="at least 2 frames, not 1"):
        roll(CREDITS, HD, LOOK, 1, Fraction(25))
