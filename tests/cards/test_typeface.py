from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest
from PIL import ImageFont

from kenburns.cards.coverage import coverage
from kenburns.cards.families import file_of
from kenburns.cards.look import Look
from kenburns.cards.shaping import draw
from kenburns.cards.typeface import REGULAR, SEMI_BOLD, face, missing_characters

# Blocks of the Unicode code charts: Basic Latin to Latin Extended-B, combining marks, Greek, Cyrillic, Hebrew, Arabic,
# general punctuation to arrows, CJK, and a block of emoji beyond the first plane.
BLOCKS = [(0x20, 0x250), (0x300, 0x700), (0x2010, 0x2200), (0x4E00, 0x4E20), (0x1F600, 0x1F610)]


def test_coverage_agrees_with_the_glyphs_that_freetype_draws() -> None:
    # FreeType, through Pillow, draws glyph 0 for what a typeface lacks: outside reference for the table reader.
    font, known = ImageFont.truetype(str(file_of()), 40), coverage(file_of())
    absent = bytes(font.getmask("\U0010ffff"))
    for first, end in BLOCKS:
        for code in range(first, end):
            if unicodedata.category(chr(code)) in ("Cn", "Cc", "Cf", "Mn", "Me", "Zs"):
                continue  # FreeType or the shaper draws nothing for these, present or not
            assert (bytes(font.getmask(chr(code))) == absent) == (code not in known), f"U+{code:04X}"


def test_european_letters_and_typographic_marks_are_all_there() -> None:
    assert missing_characters("ÅÄÖåäö ßẞ Łódź Dvořák Đurđica Þórr ğış ŐŰ ÇÉÑ Ελλάδα Київ „“”‚‘’«»‹›–—…·×½€№") == ()


def test_missing_characters_are_named_once_in_order() -> None:
    assert missing_characters("a😀b🎞c画😀") == ("😀", "🎞")


def test_half_a_surrogate_pair_counts_as_missing() -> None:
    # Python puts these in file names that are not valid UTF-8 (PEP 383).
    assert missing_characters("sea\udce9.jpg") == ("\udce9",)


def test_the_weight_axis_is_applied() -> None:
    light, bold = (draw("Harbour", face(60, weight).style, 60)[0].sum(dtype=int) for weight in (REGULAR, SEMI_BOLD))
    assert bold > 1.15 * light


def test_the_same_face_is_opened_once() -> None:
    assert face(31) is face(31)


def test_an_unknown_family_is_refused_with_those_that_work() -> None:
    with pytest.raises(ValueError, match="no typeface is named 'Nosuch'; there is 'Noto Sans'"):
        face(20, REGULAR, "Nosuch")
    with pytest.raises(ValueError, match="no typeface is named 'Nosuch'"):
        Look(typeface="Nosuch")


def test_text_below_one_pixel_is_refused() -> None:
    with pytest.raises(ValueError, match="at least 1 px an em, not 0"):
        face(0)


def test_a_file_without_a_character_table_is_refused(tmp_path: Path) -> None:
    # OpenType table directory with no records: version, count 0, three search fields.
    empty = tmp_path / "empty.ttf"
    empty.write_bytes(b"\x00\x01\x00\x00" + bytes(8))
    with pytest.raises(ValueError, match=r"'empty\.ttf' is no TrueType.*'cmap'"):
        coverage(empty)
