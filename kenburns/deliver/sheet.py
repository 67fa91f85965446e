"""What a contact sheet shows: every slot with its still, verdict, details and frames; then what was left over."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Literal, TypeAlias, get_args

import numpy as np
from numpy.typing import NDArray

Picture: TypeAlias = NDArray[np.uint8]
"""Height x width x 3, 8-bit sRGB, already small: a still about 900 px wide fills its place, a frame about 300 px."""

Verdict: TypeAlias = Literal["good", "short", "small", "words", "missing", "unreadable"]
"""good: bears its move; short: falls short of it; small: below the frame's own size; words: a card of
words, which needs no still; missing, unreadable: no still."""

Share: TypeAlias = tuple[float, float, float, float]
"""x, y, width, height of a rectangle as shares, 0 to 1, of the picture's width and height."""

Outline: TypeAlias = tuple[tuple[float, float], ...]
"""Four corners, x and y as shares, 0 to 1, of the picture's width and height."""

VERDICTS: tuple[str, ...] = get_args(Verdict)
SETTLED = ("good", "words")
"""Verdicts that call for nothing."""

_ROUNDING = 1e-6


@dataclass(frozen=True, eq=False)
class SheetEntry:
    """One slot. All texts are ready to show; any of them may be empty but `slot`.

    `details` are numbered from 1 in the order given; `outline` is where the work lies, where that is not the whole;
    `frames` are the first, the middle and the last of the shot, or whatever `captions` calls them, one each.
    `card`: a placeholder stands in the slot. `rights`: who is to be named or asked still, which is no fault of the
    picture and calls for no attention here. `mark` tells pictures that are still to be drawn from others. ValueError
    for an unknown verdict, a picture that is not RGB of 8 bits, or a detail that leaves the picture.
    """

    slot: str
    title: str
    timecode: str
    length: str
    shot: str
    still_name: str
    verdict: str
    remark: str = ""
    credit: str = ""
    picture: Picture | None = None
    details: tuple[Share, ...] = ()
    frames: tuple[Picture, ...] = ()
    flags: tuple[str, ...] = ()
    card: bool = False
    outline: Outline | None = None
    captions: tuple[str, ...] = ("first", "middle", "last")
    rights: tuple[str, ...] = ()
    mark: str = ""

    def __post_init__(self) -> None:
        _require_verdict(self.verdict)
        _require_pictures(self.slot, (self.picture, *self.frames))
        for detail in self.details:
            _require_inside(self.slot, detail)
        if len(self.frames) > len(self.captions):
            raise ValueError(f"'{self.slot}' has {len(self.frames)} frames and captions for {len(self.captions)}")

    @property
    def attention(self) -> bool:
        """Whether a person should look at this slot."""
        return self.verdict not in SETTLED or self.card or bool(self.flags)

    @property
    def shown(self) -> Picture | None:
        """The picture to show large: the still, or else the card that stands in its place."""
        return self.picture if self.picture is not None else next(iter(self.frames), None)

    @property
    def moments(self) -> tuple[Picture, ...]:
        """The frames to show small: none where the one card that there is is shown large."""
        return self.frames if self.picture is not None or (self.verdict == "words" and len(self.frames) > 1) else ()


@dataclass(frozen=True, eq=False)
class UnusedStill:
    """A photograph that no slot uses; `mark` as an entry has it."""

    name: str
    verdict: str
    picture: Picture | None = None
    mark: str = ""

    def __post_init__(self) -> None:
        _require_verdict(self.verdict)
        _require_pictures(self.name, (self.picture,))


@dataclass(frozen=True, slots=True)
class RefusedFile:
    """A file that could not be used, and why."""

    name: str
    reason: str


@dataclass(frozen=True, slots=True)
class Page:
    """One page of a sheet that has several: its file, what it holds in words, and how many slots there need a look."""

    file: str
    holds: str
    calls: int


def _as_it_is(entry: SheetEntry) -> SheetEntry:
    return entry


def _as_it_lies(still: UnusedStill) -> UnusedStill:
    return still


@dataclass(frozen=True, eq=False)
class Sheet:
    """A whole sheet, or one page of it.

    `summary` stands under the film's name, `notice` at the end; `kind` is what the sheet is called.

    Entries and unused stills may lack their pictures: `draw` and `draw_unused` return one with them, so that nobody
    need hold the pictures of all at once. `pages` are all pages of the sheet where there are several, and `page` is
    which of them this one is, from 0.
    """

    film: str
    summary: str
    entries: tuple[SheetEntry, ...] = ()
    unused: tuple[UnusedStill, ...] = ()
    refused: tuple[RefusedFile, ...] = ()
    kind: str = "contact sheet"
    notice: str = ""
    draw: Callable[[SheetEntry], SheetEntry] = field(default=_as_it_is, repr=False)
    draw_unused: Callable[[UnusedStill], UnusedStill] = field(default=_as_it_lies, repr=False)
    pages: tuple[Page, ...] = ()
    page: int = 0

    def drawn(self) -> Iterator[SheetEntry]:
        """Yield the entries with their pictures, each drawn when it is asked for."""
        return map(self.draw, self.entries)

    def drawn_unused(self) -> Iterator[UnusedStill]:
        """Yield the unused stills with their pictures, each drawn when it is asked for."""
        return map(self.draw_unused, self.unused)


def _require_verdict(verdict: str) -> None:
    if verdict not in VERDICTS:
        raise ValueError(f"a verdict is one of {', '.join(VERDICTS)}, not {verdict!r}")


def _require_pictures(name: str, pictures: tuple[Picture | None, ...]) -> None:
    for picture in pictures:
        if picture is not None and (picture.dtype != np.uint8 or picture.ndim != 3 or picture.shape[2] != 3):
            raise ValueError(
                f"a picture of '{name}' is {picture.dtype} {picture.shape}; it must be uint8 (height, width, 3)"
            )


def _require_inside(slot: str, detail: Share) -> None:
    x, y, width, height = detail
    low, high = min(x, y), max(x + width, y + height)
    if not (low >= -_ROUNDING and high <= 1 + _ROUNDING and width > 0 and height > 0):
        raise ValueError(f"detail {detail} of '{slot}' is not a rectangle in shares, 0 to 1, of its picture")
