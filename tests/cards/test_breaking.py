"""Lines break where Unicode Standard Annex 14 has it, as `uniseg` reads the annex for a paragraph as a whole."""

from __future__ import annotations

from hypothesis import example, given
from hypothesis import strategies as st
from uniseg.linebreak import line_break_units

from kenburns.cards.breaking import units

# Classes that look across spaces (OP, QU, CL, CP, NS, B2, GL, CM, IS, ...), and plain letters and digits around them.
MARKS = "([«»“”)\u2019!?;:,./%-–—\u2014…\u00a0\u202f\u0301\u200d\u2060$€〈〉ー・"


@given(st.text("aB9ω漢" + " " * 6 + MARKS, max_size=60))
@example("The boats, 1 of 3 (unfinished) — oil on board, 40 x 60 cm: $ 5 and 100 %")
def test_a_paragraph_is_broken_where_the_annex_has_it_though_its_parts_are_broken_one_by_one(paragraph: str) -> None:
    assert units(paragraph) == tuple(line_break_units(paragraph))


def test_korean_is_broken_at_spaces_only() -> None:
    assert units("바다 그림 (sea)") == ("바다 ", "그림 ", "(sea)")  # annex 14, section 8.2
