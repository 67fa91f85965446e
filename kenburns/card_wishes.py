"""What a slot's card of words says: its words taken apart, or what the works list and the credits hold."""

from __future__ import annotations

from collections.abc import Sequence

from .cards.kinds import Caption, Chapter, Credit, Credits, Kind, Quote, Title
from .cutlist.slots import Slot
from .cutlist.works import Work

Groups = Sequence[tuple[str, tuple[str, ...]]]
"""Headings of credits, each with its names."""

_PARTS = {
    "title": ("the title", "what stands below it", "whose film it is"),
    "chapter": ("the number or word above", "the title"),
    "quote": ("the words", "who said them", "where"),
    "caption": ("the title", "medium", "size", "photographer"),
}


def card_of(wish: Slot, work: Work | None, groups: Groups) -> Kind:
    """Return the card that a slot wants; `work` is the one it is about, `groups` are the film's credits.

    ValueError, saying what would work, where there is nothing to say or too much.
    """
    if wish.card in ("credits", "roll"):
        return _of_credits(groups)
    if wish.card == "caption" and not wish.words:
        return _of_work(wish, work)
    return _of_words(wish.card, parts_of(wish.words))


def parts_of(words: str) -> tuple[str, ...]:
    """Return the parts of a card's words, which have | between them; empty ones are none."""
    return tuple(part.strip() for part in words.split("|") if part.strip())


def _of_credits(groups: Groups) -> Credits:
    if not groups:
        raise ValueError(
            "nobody is named for any photograph in the film, so there are no credits to show; name the photographers "
            "in the works list"
        )
    return Credits(tuple(Credit(heading, names) for heading, names in groups))


def caption_of(said: str, work: Work | None) -> Caption | None:
    """Return the caption of a work; `said`, one of one's own, goes before title and year. None for neither."""
    title = said or (work.title or f"no. {work.number}" if work else "")
    if not title:
        return None
    if work is None:
        return Caption(title)
    photographer = f"Photograph: {work.photographer}" if work.photographer else ""
    return Caption(title, "", "" if said else work.year, work.medium, _size(work), photographer)


def _size(work: Work) -> str:
    """Return height and width as museums write them (common practice: height first)."""
    if work.height_cm is None or work.width_cm is None:
        return ""
    return f"{work.height_cm:g} × {work.width_cm:g} cm"


def _of_work(wish: Slot, work: Work | None) -> Caption:
    found = caption_of(wish.caption, work)
    if found is None:
        raise ValueError(
            "the works list has no work that this slot is surely about; name it in 'wanted', or write the caption "
            "into 'words'"
        )
    return found


def _of_words(card: str, parts: Sequence[str]) -> Kind:
    names = _PARTS[card]
    if not parts:
        raise ValueError(f"a {card} card needs words: {', '.join(names)}, with | between them")
    if len(parts) > len(names):
        raise ValueError(
            f"a {card} card has at most {len(names)} parts ({', '.join(names)}), not {len(parts)}; use fewer |"
        )
    if card == "title":
        return Title(*parts)
    if card == "chapter":
        return Chapter(parts[-1], *parts[:-1])
    if card == "quote":
        return Quote(*parts)
    title, *rest = parts
    medium, size, photographer = (*rest, "", "", "")[:3]
    return Caption(title, medium=medium, size=size, photographer=photographer)
