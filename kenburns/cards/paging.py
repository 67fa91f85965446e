"""Passages on as many pages as they need, at the look's sizes or, where a card must be one, at smaller ones."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial

from .breaking import units
from .column import Setting, floor_pixels, height, set_column, stands_in, whole_words
from .fitting import SHRINK
from .passages import Passage
from .setting import Line

_SENTENCE_ENDS = tuple(".!?…。！？।؟")


def one_page(passages: Sequence[Passage], setting: Setting, most: int, card: str) -> tuple[Setting, tuple[Line, ...]]:
    """Return the passages at the largest sizes, from the look's down to the floor, that stand in `most` px.

    ValueError where they do not even stand at the floor.
    """
    for smaller in _scales(setting):
        lines = set_column(passages, smaller)
        if whole_words(passages, smaller) and _stands(lines, smaller, most):
            return smaller, lines
    if _stands(lines, smaller, most):  # a word longer than a line, broken
        return smaller, lines
    letters = sum(len(passage.text) for passage in passages)
    raise ValueError(
        f"{card}: {letters} characters do not fit {setting.width}x{most} px of title-safe area at "
        f"{floor_pixels(setting.frame)} px an em, the smallest text of a card; shorten them or use more cards"
    )


def _scales(setting: Setting) -> Iterator[Setting]:
    floor = floor_pixels(setting.frame)
    while True:
        yield setting
        if setting.size("title") == floor:
            return
        setting = replace(setting, scale=setting.scale * SHRINK)


def _stands(lines: Sequence[Line], setting: Setting, most: int) -> bool:
    return height(lines) <= most and all(stands_in(line, setting.width) for line in lines)


def spread(passages: Sequence[Passage], setting: Setting, most: int, card: str) -> tuple[tuple[Passage, ...], ...]:
    """Return the passages on the fewest pages of `most` px, about equally full, none ending in a heading.

    A passage higher than a page is cut between sentences, or else between words; a heading is repeated where what it
    heads goes on. ValueError where a page cannot hold one word.
    """
    pages = _filled(passages, setting, most, card)
    low, high = most / len(pages), float(most)
    while len(pages) > 1 and high - low > most / 32:
        middle = (low + high) / 2
        try:
            even = _filled(passages, setting, int(middle), card)
        except ValueError:  # a page this low cannot hold some word
            even = ()
        if len(even) == len(pages):
            pages, high = even, middle
        else:
            low = middle
    return pages


def _filled(passages: Sequence[Passage], setting: Setting, most: int, card: str) -> tuple[tuple[Passage, ...], ...]:
    """Return the passages on pages, each as full as it can be."""
    pages: list[tuple[Passage, ...]] = []
    page: tuple[Passage, ...] = ()
    heading: tuple[Passage, ...] = ()
    rest = list(passages)
    while rest:
        passage = rest.pop(0)
        heading = (passage,) if passage.heading else heading
        kept_with = (*page, passage, *rest[:1]) if passage.heading else (*page, passage)
        if _room(kept_with[:-1], setting, most, kept_with[-1]):
            page = (*page, passage)
        elif page and page != heading:
            pages.append(page)
            page = () if passage.heading else heading
            rest.insert(0, passage)
        else:
            first, second = _cut(passage, partial(_room, page, setting, most), card)
            page = (*page, first)
            if second:
                rest.insert(0, second)
    return (*pages, page)


def _room(page: Sequence[Passage], setting: Setting, most: int, passage: Passage) -> bool:
    return _stands(set_column((*page, passage), setting), setting, most)


def _cut(passage: Passage, room: Callable[[Passage], bool], card: str) -> tuple[Passage, Passage | None]:
    """Return the longest beginning of a passage that there is room for, and the rest."""
    pieces = units(passage.text)

    def beginning(count: int) -> Passage:
        return replace(passage, text="".join(pieces[:count]).strip())

    low, high = 0, 16
    while high < len(pieces) and room(beginning(high)):  # a page holds little of a long text
        low, high = high, 2 * high
    high = min(high, len(pieces))
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if room(beginning(middle)) else (low, middle - 1)
    if not low:
        raise ValueError(f"{card}: '{pieces[0][:40].strip()}' does not fit a page at the look's sizes; shorten it")
    sentences = [k for k in range(low // 2 + 1, low + 1) if pieces[k - 1].rstrip(' \n”»"')[-1:] in _SENTENCE_ENDS]
    end = sentences[-1] if sentences and low < len(pieces) else low
    rest = "".join(pieces[end:]).strip()
    return beginning(end), replace(passage, text=rest, space=0.0) if rest else None
