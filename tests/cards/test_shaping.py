"""Shaping, shown by pixels: joined letters, conjuncts, marks, order, and where each script's letters come from."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFont

from kenburns.cards.families import chain, file_of
from kenburns.cards.runs import files, language_of, letters, missing, runs
from kenburns.cards.shaping import Style, draw, length_of, shape
from kenburns.cards.text import ink
from kenburns.cards.typeface import face

SIZE = 64
STYLE = Style("Noto Sans", 400, "")
LINES = {
    "Latin": "Dvořák’s Łódź, ế",
    "Greek": "Ἀθήνα ζωγραφική",
    "Cyrillic": "Київ, живопись",
    "Arabic": "لوحة البحر ١٩٧٢",
    "Persian": "کتاب‌ها",
    "Hebrew": "תמונת הים בַּחֹרֶף ס״מ",
    "Devanagari": "क्षितिज पर स्त्री",
    "Chinese": "海邊的冬天，北京的画",
    "Japanese": "冬の港「海の画」",
    "Korean": "겨울 항구의 그림",
}


def width(line: str) -> float:
    return length_of(line, STYLE, SIZE)


def pixels(line: str, style: Style = STYLE) -> bytes:
    rows, x, y = draw(line, style, SIZE)
    return rows.tobytes() + bytes(str((rows.shape, x, y)), "ascii")


def numbers(line: str) -> list[int]:
    return [glyph.number for glyph in shape(line, STYLE).glyphs]


@pytest.mark.parametrize("line", LINES.values(), ids=LINES)
def test_every_script_has_glyphs_and_ink_and_no_missing_glyph(line: str) -> None:
    assert missing(line, "Noto Sans") == ()
    assert 0 not in numbers(line)  # glyph 0 is 'missing': OpenType specification, "maxp" and "cmap"
    assert draw(line, STYLE, SIZE)[0].any()


def test_arabic_letters_join() -> None:
    # Unicode Standard, 9.2: beh takes initial, medial and final forms in a word; U+200C keeps them apart.
    joined, apart = "ببب", "ب\u200cب\u200cب"
    # This typeface draws the dot of each beh as a glyph of its own, the same for all three.
    assert len(numbers(joined)) == 6
    assert len(set(numbers(joined))) == 1 + 3
    assert width(joined) < 0.9 * width(apart)
    assert _columns(joined) == 1
    assert _columns(apart) == 3


def test_arabic_forms_are_those_that_unicode_lists() -> None:
    # Arabic Presentation Forms-B: U+FE91 initial, U+FE92 medial and U+FE90 final form of beh, where the file has them.
    assert all(unicodedata.normalize("NFKC", form) == "ب" for form in "\ufe91\ufe92\ufe90")
    lone = [
        draw(form, STYLE, SIZE)[0].sum(dtype=int) for form in "\ufe91\ufe92\ufe90" if not missing(form, "Noto Sans")
    ]
    assert len(lone) == 3
    assert draw("ببب", STYLE, SIZE)[0].sum(dtype=int) == pytest.approx(sum(lone), rel=0.06)


def test_lam_and_alef_are_drawn_as_one() -> None:
    # Unicode Standard, 9.2: the lam-alef ligature is obligatory; this typeface draws it with two glyphs of its own.
    assert not set(numbers("لا")) & {*numbers("ل"), *numbers("ا")}
    assert width("لا") < 0.8 * width("ل\u200cا")


def test_devanagari_conjuncts_form() -> None:
    # Unicode Standard, 12.1: ka + virama + ssa is the conjunct ksha; U+200C asks for the visible virama.
    assert len(numbers("क्ष")) == 1
    assert width("क्ष") < 0.8 * width("क्\u200cष")
    assert pixels("क्ष") != pixels("क्\u200cष")


def test_the_short_i_of_devanagari_stands_before_its_consonant() -> None:
    # Unicode Standard, 12.1, rule R15: the sign I is drawn to the left of the consonant it follows.
    sign = set(numbers("कि")) - set(numbers("क"))
    assert numbers("कि")[0] in sign


def test_lines_from_the_right_start_at_the_right() -> None:
    alef, shin = numbers("א")[0], numbers("ש")[0]
    assert numbers("אש") == [shin, alef]
    # Numbers within them keep their order (Unicode Annex 9).
    one, two = numbers("1")[0], numbers("2")[0]
    assert numbers("א 12")[:2] == [one, two]


def test_brackets_turn_round_in_lines_from_the_right() -> None:
    # Unicode Annex 9, L4.
    assert numbers("(א)")[0] == numbers("(")[0]
    assert numbers("(א")[-1] == numbers(")")[0]


def test_han_characters_take_the_form_of_the_language() -> None:
    # U+76F4 is drawn with different strokes in Japan and in China (Unicode Standard, 18.1, Han unification).
    assert pixels("直", STYLE._replace(language="ja")) != pixels("直", STYLE._replace(language="zh-hans"))
    assert [language_of(LINES[name]) for name in ("Japanese", "Chinese", "Korean", "Latin")] == [
        "ja",
        "zh-hans",
        "ko",
        "",
    ]


def test_a_hebrew_point_stands_under_its_letter() -> None:
    bare, pointed = ink("ב", face(SIZE)), ink("ב\u05b8", face(SIZE))
    assert pointed.width == bare.width
    assert pointed.bottom > bare.bottom + 4


def test_each_character_comes_from_the_first_typeface_that_has_it() -> None:
    order = chain("Noto Sans")
    found = [order.index(file) for file in files("aक صא画", "Noto Sans")]
    assert found == [0, 0, 0, 1, 2, 3]


def test_a_letter_and_its_marks_come_from_one_typeface() -> None:
    assert len(set(files("ב\u05b8", "Noto Sans"))) == 1


def test_letters_keep_marks_joiners_and_conjuncts() -> None:
    assert letters("क्षि\u0915ه\u200cا") == ("क्षि", "क", "ه\u200c", "ا")


def test_a_line_is_cut_into_runs_of_one_direction_and_script() -> None:
    assert [(run.start, run.end, run.script, run.leftwards) for run in runs("ab אב", "Noto Sans")] == [
        (0, 3, "Latn", False),
        (3, 5, "Hebr", True),
    ]


def test_weights_without_an_axis_are_made_bolder() -> None:
    regular, bold = (draw("画", STYLE._replace(weight=weight), SIZE)[0].sum(dtype=int) for weight in (400, 600))
    assert bold > 1.08 * regular


def test_latin_agrees_with_freetype() -> None:
    # Outside reference: FreeType and Pillow draw the same variable file, unhinted lengths within a pixel a letter.
    font = ImageFont.truetype(str(file_of()), SIZE, layout_engine=ImageFont.Layout.BASIC)
    font.set_variation_by_axes([400, 100])
    assert width("nnnn") == pytest.approx(font.getlength("nnnn"), abs=4)
    theirs = np.asarray(font.getmask("n")).sum(dtype=int)
    assert draw("n", STYLE, SIZE)[0].sum(dtype=int) == pytest.approx(theirs, rel=0.05)


def test_pillow_draws_with_the_face_what_the_face_measures() -> None:
    font = face(40)
    for anchor in ("ls", "la", "mm", "rs"):
        picture = Image.new("L", (400, 200))
        ImageDraw.Draw(picture).text((200, 100), "لوحة Åj", 255, font, anchor=anchor)
        left, top, right, bottom = font.getbbox("لوحة Åj", anchor=anchor)
        drawn = picture.getbbox()
        assert drawn is not None
        assert drawn[0] >= 200 + left
        assert drawn[1] >= 100 + top
        assert drawn[2] <= 200 + right
        assert drawn[3] <= 100 + bottom


def test_a_typeface_file_is_used_by_its_path_and_a_missing_one_refused(tmp_path: Path) -> None:
    own = tmp_path / "own.ttf"
    own.write_bytes(file_of().read_bytes())
    assert chain(str(own))[0] == own
    assert missing("画", str(own)) == ()
    with pytest.raises(ValueError, match=r"typeface file '.*gone\.otf' is not there"):
        file_of(str(tmp_path / "gone.otf"))


def _columns(line: str) -> int:
    """Return into how many pieces empty columns cut a drawn line."""
    inked = draw(line, STYLE, SIZE)[0].max(axis=0) > 0
    return int(inked[0]) + int(np.count_nonzero(inked[1:] & ~inked[:-1]))
