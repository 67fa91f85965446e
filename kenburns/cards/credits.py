"""Credit screens: pages, or a roll."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..motion.geometry import Size
from .column import Passage, Setting, height, language, readied, set_column
from .drawing import Pixels, drawn, plain_ground
from .kinds import Cards, ground, in_middle
from .layout import title_safe
from .look import Look
from .paging import spread
from .reading import BRISK, reading_seconds, too_short

_CARD = "credits"


@dataclass(frozen=True, slots=True)
class Credit:
    """A heading ("Photographs") and the names below it, each on a line of its own."""

    heading: str
    names: tuple[str, ...]


@dataclass(frozen=True)
class Roll:
    """A picture as wide as the frame and taller, and how many whole rows the frame moves down over it each frame.

    Frame `n` shows rows `n * step` to `n * step + frame height`, so every row moves by `step` exactly and no letter
    is ever resampled. It starts and ends on the bare ground.
    """

    picture: Pixels
    frame: Size
    step: int
    remarks: tuple[str, ...] = ()

    @property
    def frames(self) -> int:
        """How many frames the roll takes."""
        return int(self.picture.shape[0] - self.frame.height) // self.step + 1

    def at(self, frame: int) -> Pixels:
        """Return a frame, counted from 0; ValueError outside the roll."""
        if not 0 <= frame < self.frames:
            raise ValueError(f"a roll of {self.frames} frames has frames 0 to {self.frames - 1}, not {frame}")
        return self.picture[frame * self.step : frame * self.step + self.frame.height]


def credit_pages(
    sections: Iterable[Credit], frame: Size, look: Look, seconds: float | None = None, still: Pixels | None = None
) -> Cards:
    """Return credits on as many RGB pictures as they need, a heading repeated where its names go on.

    Text stands in the 90 % title-safe area (SMPTE ST 2046-1) at the look's sizes. `seconds`, of all pages together,
    is checked against the time to read them. ValueError where a single name does not fit a page, and for a character
    no typeface has.
    """
    area, passages = title_safe(frame), readied(_passages(sections), look, _CARD)
    setting = Setting(area.width, frame, look, language(passages, look))
    below = ground(frame, look, still)
    pages = spread(passages, setting, area.height, _CARD)
    said = None if seconds is None else too_short(_words(passages), seconds)
    pictures = tuple(drawn(below, in_middle(set_column(page, setting), area)) for page in pages)
    return Cards(pictures, (f"{_CARD}: {said}",) if said else ())


def roll(sections: Iterable[Credit], frame: Size, look: Look, frames: int, rate: Fraction) -> Roll:
    """Return credits that roll through in at most `frames`, at the fewest whole rows a frame that take them through.

    Each line keeps to the title-safe width; upwards it crosses the frame, as rolls do. A remark tells of a roll too
    fast to read. ValueError for fewer than 2 frames, and for a character no typeface has.
    """
    if frames < 2:
        raise ValueError(f"a roll takes at least 2 frames, not {frames}")
    area, passages = title_safe(frame), readied(_passages(sections), look, _CARD)
    setting = Setting(area.width, frame, look, language(passages, look))
    lines = set_column(passages, setting)
    travel = height(lines) + frame.height
    step = -(-travel // (frames - 1))
    # Rounded up to whole steps, so that the last frame is bare too.
    travel = -(-travel // step) * step
    tall = plain_ground(Size(frame.width, travel + frame.height), look)
    picture = drawn(tall, [line.moved(area.left, frame.height) for line in lines])
    return Roll(picture, frame, step, _pace(passages, height(lines), step, rate))


def _pace(passages: Sequence[Passage], text_height: int, step: int, rate: Fraction) -> tuple[str, ...]:
    """Say where the text passes a line of the frame faster than it can be read."""
    passing, needed = text_height / step / float(rate), reading_seconds(_words(passages), BRISK)
    if passing >= needed:
        return ()
    slower = max(int(text_height / needed / float(rate)), 1)
    return (
        f"{_CARD}: roll by {step} rows a frame, too fast to read: the text passes in {passing:.1f} s and needs "
        f"{needed:.1f} s at {BRISK:.0f} words a minute; {slower} a frame would do",
    )


def _passages(sections: Iterable[Credit]) -> tuple[Passage, ...]:
    found: list[Passage] = []
    for credit in sections:
        found.append(Passage(credit.heading, "small", quiet=True, space=2.2, heading=True))
        found.extend(Passage(name, "list", space=0.35) for name in credit.names)
    return tuple(found)


def _words(passages: Sequence[Passage]) -> str:
    return "\n".join(passage.text for passage in passages)
