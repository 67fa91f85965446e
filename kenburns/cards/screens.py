"""Cards of words: what stands on each screen, for how long, and its picture.

Text stands in the 90 % title-safe area (SMPTE ST 2046-1), never below 2.2 % of the frame's height.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise

from ..motion.geometry import Size
from .column import Setting, height, language, readied, set_column
from .drawing import Pixels, drawn, plain_ground
from .ground import softened
from .kinds import Kind
from .layout import Area, title_safe
from .look import Look
from .paging import one_page, spread
from .passages import Screen
from .reading import reading_seconds, too_short
from .setting import Line


def screens_of(of: Kind, frame: Size, look: Look) -> tuple[Screen, ...]:
    """Return a card's screens: one, or as many as the text of a card that goes on needs, about equally full.

    ValueError where the text does not fit, and for a character that no typeface has, each naming the card.
    """
    area, passages = title_safe(frame), readied(of.passages, look, of.called)
    setting = Setting(area.width, frame, look, language(passages, look))
    if of.goes_on:
        pages = spread(passages, setting, area.height, of.called)
        return tuple(Screen(page, 1.0, setting.language) for page in pages)
    smaller, _ = one_page(passages, setting, area.height, of.called)
    return (Screen(passages, smaller.scale, setting.language),)


def screen_frames(screens: Sequence[Screen], frames: int) -> tuple[int, ...]:
    """Return for how many of `frames` each screen stands: by the time it takes to read, and at least one.

    ValueError where there are more screens than frames.
    """
    if frames < len(screens):
        raise ValueError(f"the text needs {len(screens)} cards and the slot has {frames} frames")
    spare = frames - len(screens)
    times = [reading_seconds(screen.text) for screen in screens]
    # Rounded at the edges and not one by one, so that together they are all of the frames.
    ends = [round(spare * done / (sum(times) or 1)) for done in accumulate(times)]
    return tuple(1 + end - start for start, end in pairwise([0, *ends[:-1], spare]))


def reading_remarks(screens: Sequence[Screen], seconds: Sequence[float], card: str, slack: float = 0.0) -> list[str]:
    """Return what to say of each screen that stands too short for its words, by more than `slack` seconds."""
    said = [too_short(screen.text, stands + slack) for screen, stands in zip(screens, seconds, strict=True)]
    page = [f" {n} of {len(screens)}" if len(screens) > 1 else "" for n in range(1, len(screens) + 1)]
    return [f"{card}{number}: {words}" for number, words in zip(page, said, strict=True) if words]


def screen_lines(screen: Screen, frame: Size, look: Look) -> tuple[Line, ...]:
    """Return the lines of a screen where they stand in the frame."""
    area = title_safe(frame)
    return in_middle(set_column(screen.passages, setting_of(screen, frame, look)), area)


def setting_of(screen: Screen, frame: Size, look: Look) -> Setting:
    """Return how a screen's passages are set."""
    return Setting(title_safe(frame).width, frame, look, screen.language, screen.scale)


def screen_picture(screen: Screen, frame: Size, look: Look, still: Pixels | None = None) -> Pixels:
    """Return a screen, an RGB picture of the frame's size; `still` (RGB) is the ground of a look that is soft."""
    return drawn(ground(frame, look, still), screen_lines(screen, frame, look))


def ground(frame: Size, look: Look, still: Pixels | None) -> Pixels:
    """Return what lies behind the text: the still softened where the look asks for that and there is one."""
    return plain_ground(frame, look) if still is None or not look.soft else softened(still, frame, look)


def in_middle(lines: Sequence[Line], area: Area) -> tuple[Line, ...]:
    """Return the lines of a column moved so that they stand in the area, as far from its top as from its bottom."""
    return tuple(line.moved(area.left, area.top + (area.height - height(lines)) // 2) for line in lines)
