"""The card that stands in a slot until its photograph comes."""

from __future__ import annotations

from PIL import Image, ImageDraw

from ..motion.geometry import Size
from .fitting import fit
from .layout import Area, Layout, title_safe
from .look import Look, rgb
from .wording import CardText, drawable


def placeholder(card: CardText, frame: Size, look: Look) -> tuple[Image.Image, tuple[str, ...]]:
    """Return the card as an RGB picture of the frame's size, and remarks for its reader.

    All text stands inside the 90 % title-safe area (SMPTE ST 2046-1). It shrinks until it fits, down to 2.2 % of the
    frame's height; then the end of the note gives way to "…". Slot, what is wanted, times and length stand complete,
    if need be in smaller text still. A remark tells of either, and of characters the typeface lacks, drawn as "?".
    ValueError where the frame is too small for any text.
    """
    area = title_safe(frame)
    shown, lacking = drawable(card, look.typeface)
    layout, given_way = fit(shown, area, frame, look)
    return _draw(layout, area, frame, look), tuple(f"card '{card.slot}': {each}" for each in (*lacking, *given_way))


def _draw(layout: Layout, area: Area, frame: Size, look: Look) -> Image.Image:
    picture = Image.new("RGB", (frame.width, frame.height), rgb(look.ground))
    draw = ImageDraw.Draw(picture)
    for line in layout.placed(area):
        draw.text((line.x, line.baseline), line.text, rgb(line.colour), line.font, anchor="ls")
    if layout.foot:
        _draw_rule(draw, layout, area, look)
    return picture


def _draw_rule(draw: ImageDraw.ImageDraw, layout: Layout, area: Area, look: Look) -> None:
    """Draw a hairline over the foot, in the gap between it and the label."""
    thickness = max(round(area.height / 900), 1)
    y = area.top + layout.foot_top(area) - layout.gap // 2
    draw.rectangle((area.left, y, area.left + area.width - 1, y + thickness - 1), rgb(look.quiet))
