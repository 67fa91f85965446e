"""A caption over any picture: clear, but for a panel at the bottom that holds the text."""

from __future__ import annotations

from collections.abc import Sequence

from ..motion.geometry import Size
from .column import Setting, height, language, readied, set_column
from .drawing import Pixels, overlay
from .kinds import Caption
from .layout import Area, title_safe
from .look import Look
from .paging import one_page
from .passages import Screen
from .setting import Line, right

_PANEL_PADDING = 0.8
"""Space in em of the small text between a caption and the edge of its panel."""

_HEIGHT = 0.4
"""Share of the title-safe height that a caption over a picture takes at most, so that the picture is seen."""


def overlay_screen(of: Caption, frame: Size, look: Look) -> Screen:
    """Return what stands in the panel. ValueError where it does not fit, and for a character that no typeface has."""
    area, passages = title_safe(frame), readied(of.passages, look, of.called)
    screen = Screen(passages, 1.0, language(passages, look))
    padding = _padding(screen, frame, look)
    setting = Setting(area.width - 2 * padding, frame, look, screen.language)
    smaller, _ = one_page(passages, setting, int(_HEIGHT * area.height) - 2 * padding, of.called)
    return Screen(passages, smaller.scale, screen.language)


def overlay_picture(screen: Screen, frame: Size, look: Look) -> Pixels:
    """Return the caption, an RGBA picture of the frame's size with straight alpha."""
    area, padding = title_safe(frame), _padding(screen, frame, look)
    setting = Setting(area.width - 2 * padding, frame, look, screen.language, screen.scale)
    box, placed = _panel(set_column(screen.passages, setting), area, padding, look)
    return overlay(frame, box, placed, look)


def _padding(screen: Screen, frame: Size, look: Look) -> int:
    return round(_PANEL_PADDING * Setting(title_safe(frame).width, frame, look, screen.language).size("small"))


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
