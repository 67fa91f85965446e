"""The cards of a film: opening title, chapter, quote and caption."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..motion.geometry import Size
from .column import Passage, Setting, height, language, readied, set_column
from .drawing import Pixels, drawn, overlay, plain_ground
from .ground import softened
from .layout import Area, title_safe
from .look import Look
from .paging import one_page, spread
from .reading import too_short
from .setting import Line, right

_PANEL_PADDING = 0.8
"""Space in em of the small text between a caption and the edge of its panel."""

_OVERLAY_HEIGHT = 0.4
"""Share of the title-safe height that a caption over a picture takes at most, so that the picture is seen."""


@dataclass(frozen=True, slots=True)
class Title:
    """An opening title, what stands below it, and whose film it is."""

    title: str
    subtitle: str = ""
    by: str = ""


@dataclass(frozen=True, slots=True)
class Chapter:
    """A chapter's title, and the number or word above it."""

    title: str
    number: str = ""


@dataclass(frozen=True, slots=True)
class Quote:
    """Words with the marks that quote them, who said them, and where."""

    words: str
    speaker: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Caption:
    """What is said of a work, each ready to show: "40 × 60 cm", "Photograph: Ilse Marrow"."""

    title: str
    maker: str = ""
    year: str = ""
    medium: str = ""
    size: str = ""
    photographer: str = ""


@dataclass(frozen=True)
class Cards:
    """Pictures of one kind in order, and what their reader should know of them."""

    pictures: tuple[Pixels, ...]
    remarks: tuple[str, ...] = ()


def opening_title(
    title: Title, frame: Size, look: Look, seconds: float | None = None, still: Pixels | None = None
) -> Cards:
    """Return the opening title, one RGB picture of the frame's size.

    As for every kind here: text stands in the 90 % title-safe area (SMPTE ST 2046-1); `seconds`, all its pictures'
    time together, is checked against the time to read them; `still` (RGB) is the ground of a look that is soft.
    ValueError where the text does not fit at 2.2 % of the frame's height, and for a character no typeface has.
    """
    passages = (
        Passage(title.title, "title"),
        Passage(title.subtitle, "body", space=0.6),
        Passage(title.by, "small", quiet=True, space=1.4),
    )
    return _one(passages, frame, look, _called("title card", title.title), seconds, still)


def chapter(
    chapter: Chapter, frame: Size, look: Look, seconds: float | None = None, still: Pixels | None = None
) -> Cards:
    """Return a chapter's card, one RGB picture; see `opening_title`."""
    passages = (Passage(chapter.number, "small", quiet=True), Passage(chapter.title, "title", space=0.35))
    return _one(passages, frame, look, _called("chapter card", chapter.title), seconds, still)


def quote(quote: Quote, frame: Size, look: Look, seconds: float | None = None, still: Pixels | None = None) -> Cards:
    """Return a quotation on as many RGB pictures as its words need, the speaker on the last; see `opening_title`."""
    passages = (
        Passage(quote.words, "body"),
        Passage(quote.speaker, "small", space=1.4),
        Passage(quote.source, "small", quiet=True, space=0.35),
    )
    return _several(passages, frame, look, _called("quote card", quote.words), seconds, still)


def caption(of: Caption, frame: Size, look: Look, seconds: float | None = None, still: Pixels | None = None) -> Cards:
    """Return the caption of a work on as many full RGB cards as it needs; see `opening_title`."""
    return _several(_caption_passages(of), frame, look, _called("caption", of.title), seconds, still)


def _caption_passages(of: Caption) -> tuple[Passage, ...]:
    dated = ", ".join(filter(None, (of.title, of.year)))
    return (
        Passage(of.maker, "small", heading=True),
        Passage(dated, "body", space=0.3),
        Passage(of.medium, "small", space=0.6),
        Passage(of.size, "small", space=0.3),
        Passage(of.photographer, "small", quiet=True, space=0.9),
    )


def caption_overlay(of: Caption, frame: Size, look: Look, seconds: float | None = None) -> Cards:
    """Return the caption over any picture: one RGBA picture, straight alpha, clear but for a panel at the bottom.

    The panel is at most two fifths of the title-safe height; ValueError where the text does not fit that.
    """
    card, area = _called("caption", of.title), title_safe(frame)
    passages = readied(_caption_passages(of), look, card)
    setting = Setting(area.width, frame, look, language(passages, look))
    padding = round(_PANEL_PADDING * setting.size("small"))
    inner = Setting(area.width - 2 * padding, frame, look, setting.language)
    _, lines = one_page(passages, inner, int(_OVERLAY_HEIGHT * area.height) - 2 * padding, card)
    box, placed = _panel(lines, area, padding, look)
    return Cards((overlay(frame, box, placed, look),), _read(passages, seconds, card))


def _panel(
    lines: Sequence[Line], area: Area, padding: int, look: Look
) -> tuple[tuple[int, int, int, int], tuple[Line, ...]]:
    """Return the panel around lines, on the bottom of the area, and the lines where they stand in it."""
    first, last = min(int(line.ink.left) for line in lines), int(right(lines))
    bottom = area.top + area.height
    top = bottom - height(lines) - 2 * padding
    # The panel hugs its text, which hangs left, right or in the middle as it is read.
    left = area.left + (0 if look.align == "left" and first < padding else first)
    box = (left, top, min(area.left + last + 2 * padding, area.left + area.width), bottom)
    return box, tuple(line.moved(area.left + padding, top + padding) for line in lines)


def _one(
    passages: Sequence[Passage], frame: Size, look: Look, card: str, seconds: float | None, still: Pixels | None
) -> Cards:
    area, shown = title_safe(frame), readied(passages, look, card)
    _, lines = one_page(shown, Setting(area.width, frame, look, language(shown, look)), area.height, card)
    return Cards((drawn(ground(frame, look, still), in_middle(lines, area)),), _read(shown, seconds, card))


def _several(
    passages: Sequence[Passage], frame: Size, look: Look, card: str, seconds: float | None, still: Pixels | None
) -> Cards:
    area, shown = title_safe(frame), readied(passages, look, card)
    setting = Setting(area.width, frame, look, language(shown, look))
    below = ground(frame, look, still)
    pages = spread(shown, setting, area.height, card)
    pictures = tuple(drawn(below, in_middle(set_column(page, setting), area)) for page in pages)
    more = (f"{card}: needs {len(pages)} cards",) if len(pages) > 1 else ()
    return Cards(pictures, (*more, *_read(shown, seconds, card)))


def ground(frame: Size, look: Look, still: Pixels | None) -> Pixels:
    """Return what lies behind the text: the still softened where the look asks for that and there is one."""
    return plain_ground(frame, look) if still is None or not look.soft else softened(still, frame, look)


def in_middle(lines: Sequence[Line], area: Area) -> tuple[Line, ...]:
    """Return the lines of a column moved so that they stand in the area, as far from its top as from its bottom."""
    return tuple(line.moved(area.left, area.top + (area.height - height(lines)) // 2) for line in lines)


def _read(passages: Sequence[Passage], seconds: float | None, card: str) -> tuple[str, ...]:
    said = None if seconds is None else too_short("\n".join(passage.text for passage in passages), seconds)
    return (f"{card}: {said}",) if said else ()


def _called(kind: str, text: str) -> str:
    first = " ".join(text.split())
    return f"{kind} '{first[:39]}…'" if len(first) > 40 else f"{kind} '{first}'"
