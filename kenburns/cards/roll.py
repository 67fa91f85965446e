"""Credits that roll: how fast they move, and their picture."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ..motion.geometry import Size
from .column import height, language, readied, set_column
from .drawing import Pixels, drawn, plain_ground
from .kinds import Kind
from .layout import title_safe
from .look import Look
from .passages import Screen
from .reading import BRISK, reading_seconds
from .screens import setting_of


@dataclass(frozen=True, slots=True)
class Roll:
    """A screen higher than the frame, and how many whole rows the frame moves down over it each frame.

    Frame `n` shows rows `n * step` to `n * step + frame height` of its picture, so every row moves by `step` exactly
    and no letter is ever resampled. It starts and ends on the bare ground; `frames` are those until it is through.
    """

    screen: Screen
    step: int
    frames: int
    remarks: tuple[str, ...] = ()


def roll(of: Kind, frame: Size, look: Look, frames: int, rate: Fraction) -> Roll:
    """Return credits that roll through in at most `frames`, at the fewest whole rows a frame that take them through.

    Each line keeps to the title-safe width; upwards it crosses the frame, as rolls do. A remark tells of a roll too
    fast to read, and what would do. ValueError for fewer than 2 frames, and for a character no typeface has.
    """
    if frames < 2:
        raise ValueError(f"a roll takes at least 2 frames, not {frames}")
    passages = readied(of.passages, look, of.called)
    screen = Screen(passages, 1.0, language(passages, look))
    text = _text_height(screen, frame, look)
    travel = text + frame.height
    step = -(-travel // (frames - 1))
    return Roll(screen, step, -(-travel // step) + 1, _pace(screen, text, travel, step, rate))


def _pace(screen: Screen, text: int, travel: int, step: int, rate: Fraction) -> tuple[str, ...]:
    """Say where the text passes a line of the frame faster than it can be read."""
    passing, needed = text / step / float(rate), reading_seconds(screen.text, BRISK)
    if passing >= needed:
        return ()
    slower = max(int(text / needed / float(rate)), 1)
    enough = -(-travel // slower) + 1
    return (
        f"credits roll by {step} rows a frame, too fast to read: the text passes in {passing:.1f} s and needs "
        f"{needed:.1f} s at {BRISK:.0f} words a minute; a slot of {enough} frames ({enough / float(rate):.1f} s) "
        f"would do, at {slower} a frame",
    )


def roll_picture(screen: Screen, frame: Size, look: Look) -> Pixels:
    """Return what the frame moves down over: RGB, the text with a bare frame above and below."""
    rows = _text_height(screen, frame, look) + 2 * frame.height
    lines = set_column(screen.passages, setting_of(screen, frame, look))
    tall = plain_ground(Size(frame.width, rows), look)
    return drawn(tall, [line.moved(title_safe(frame).left, frame.height) for line in lines])


def roll_row(number: int, step: int, rows: int, frame: Size) -> int:
    """Return the row of its picture, `rows` high, at the top of frame `number`; past the end the ground stays bare."""
    return min(number * step, rows - frame.height)


def _text_height(screen: Screen, frame: Size, look: Look) -> int:
    return height(set_column(screen.passages, setting_of(screen, frame, look)))
