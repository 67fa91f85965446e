"""One letter for each owner: plain text that a person completes and pastes into a mail."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass

from ..motion.geometry import Size
from .asks import Ask, Request

_WIDTH = 72  # columns of a line, so that it survives being quoted (common practice, RFC 3676 section 4.2 names 78)
_LONGEST_NAME = 60  # characters of a file name

_HOW = (
    "Please send each as a TIFF, or as a JPEG at the highest quality, with its colour profile, as the camera or "
    "scanner gave it: not enlarged, not sharpened, nothing cropped off the work. More pixels than asked for are "
    "welcome. If a file of that size does not exist, please tell me the largest that does; the shot can then be "
    "made smaller."
)

_OF_WORK = {
    "missing": ", the work alone, without wall or frame",
    "unreadable": ", the work alone, without wall or frame",
    "sharper": " as the camera or scanner took it",
}


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter to an owner ("" where nobody is known), and a file name for it that is safe on every system."""

    owner: str
    file: str
    text: str


def request_letters(request: Request) -> tuple[Letter, ...]:
    """Return a letter for each owner, in the order of the request.

    Pictures that a person has to confirm first are in none. Square brackets mark what is to be filled in.
    """
    letters: list[Letter] = []
    for owner in request.owners:
        asks = tuple(ask for ask in request.of(owner) if ask.state != "unsure")
        if asks:
            letters.append(Letter(owner, _file(owner, len(letters) + 1), _text(request.film, owner, asks)))
    return tuple(letters)


def _text(film: str, owner: str, asks: tuple[Ask, ...]) -> str:
    paragraphs = [
        f"Subject: Photographs for the film '{_line(film)}'",
        f"Dear {_greeted(_line(owner))},",
        _filled(f"for the film '{_line(film)}' we would like to show {_count(asks)} and need {_them(asks)} in the "
                "sizes below. They follow from how close the camera goes, so that no pixel is enlarged."),
        *(_item(number, ask) for number, ask in enumerate(asks, start=1)),
        _filled(_HOW),
        _filled("Please also tell me how each photograph should be credited, and that it may be shown in the film. "
                "It would help me to have them by [date]."),
        "With thanks and kind regards,\n[your name]",
    ]  # fmt: skip
    return "\n\n".join(paragraphs) + "\n"


def _greeted(owner: str) -> str:
    """Return the name to greet: nobody is called a collection."""
    return owner if owner and "collection" not in owner.casefold() else f"[name{': ' if owner else ''}{owner}]"


def _count(asks: tuple[Ask, ...]) -> str:
    return "one photograph" if len(asks) == 1 else f"{len(asks)} photographs"


def _them(asks: tuple[Ask, ...]) -> str:
    return "it" if len(asks) == 1 else "them"


def _item(number: int, ask: Ask) -> str:
    head = f"{number}. "
    return "\n".join(
        [_filled(head + _line(ask.name), " " * len(head)), *(_indented(said, len(head)) for said in _sentences(ask))]
    )


def _sentences(ask: Ask) -> Iterator[str]:
    yield _now(ask)
    yield f"Needed: {_wanted(ask)}."
    yield "For: " + "; ".join(map(_line, ask.reasons)) + "."
    if ask.remark:
        yield _line(ask.remark)


def _now(ask: Ask) -> str:
    file = f"'{_line(ask.file)}'" + (f", {_pixels(ask.has)} px" if ask.has else "")
    if ask.state == "missing":
        return "We have no photograph of it yet."
    if ask.state == "unreadable":
        return f"The file we have, {file}, cannot be read."
    if ask.state == "sharper":
        return f"The file we have is {file}, but seems enlarged, soft or compressed, with the detail of a smaller one."
    return f"The file we have is {file}" + (", and seems enlarged, soft or compressed." if ask.soft else ".")


def _wanted(ask: Ask) -> str:
    size = ask.ask_for
    if ask.shape_known:
        return f"at least {ask.long_side} px on the long side ({_pixels(size)} px){_OF_WORK.get(ask.state, '')}"
    return f"at least {size.width} px wide and {size.height} px high{_OF_WORK.get(ask.state, '')}"


def _pixels(size: Size) -> str:
    return f"{size.width}×{size.height}"


def _filled(text: str, later: str = "") -> str:
    return textwrap.fill(text, _WIDTH, subsequent_indent=later, break_long_words=False, break_on_hyphens=False)


def _indented(text: str, columns: int) -> str:
    indent = " " * columns
    return textwrap.fill(
        text,
        _WIDTH,
        initial_indent=indent,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    )


def _line(text: str) -> str:
    """Return the text on one line: nobody else's line break may begin a paragraph of the letter."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def _file(owner: str, number: int) -> str:
    words = re.sub(r"[^\w]+", " ", owner).strip() or "owner not known"
    return f"{number:02d} {words[:_LONGEST_NAME].strip()}.txt"
