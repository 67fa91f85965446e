"""One slot of the contact sheet as a picture: name and verdict, the still and its frames, then what is said of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil

from PIL import Image, ImageDraw

from ..cards.setting import Block, bottom, stack
from ..cards.text import ink, tidy, wrap
from ..cards.typeface import REGULAR, SEMI_BOLD, face, substitute
from .sheet import Outline, Picture, Share, SheetEntry, UnusedStill
from .sheet_marks import CALL, GROUND, INK, LINE, QUIET, colour_of, draw_details, draw_outline, mark_picture

PICTURE_HEIGHT = 0.42
"""Height of the place for pictures as a share of the tile's width."""

FRAMES_WIDTH = 0.45
"""Most of a tile's width that its frames may take."""

_RISE, _DEPTH = 1.0, 0.28  # in em: room above and below a baseline for any ordinary letter


@dataclass(frozen=True, slots=True)
class Scale:
    """A tile's measures in pixels: its width, an em of its text, the gap between its parts."""

    width: int
    text: int
    gap: int


def scale_of(width: int) -> Scale:
    """Return the measures of a tile `width` px wide; text is never below 11 px an em."""
    text = min(max(round(width / 34), 11), 24)
    return Scale(width, text, max(round(text * 0.6), 4))


def entry_tile(entry: SheetEntry, width: int) -> Image.Image:
    """Return the tile of one slot, `width` px wide and as high as its texts need."""
    scale = scale_of(width)
    said = text_picture(
        [
            block(entry.title, scale.text, INK, width),
            block(_joined(entry.timecode, entry.length, entry.shot), scale.text, QUIET, width),
            block(_joined(entry.still_name, entry.credit), scale.text, QUIET, width),
            block(entry.remark, scale.text, INK, width),
            *(block(flag, scale.text, CALL, width) for flag in entry.flags),
            *(block(right, scale.text, QUIET, width) for right in entry.rights),
        ],
        width,
        scale.text,
    )
    name = _head(entry.slot, entry.verdict, scale, SEMI_BOLD, round(1.3 * scale.text))
    return below([name, _pictures(entry, scale), said], scale.gap)


def unused_tile(still: UnusedStill, width: int) -> Image.Image:
    """Return the tile of a photograph that no slot uses."""
    scale = scale_of(width)
    place = Image.new("RGB", (width, round(PICTURE_HEIGHT * width)), GROUND)
    _lay(place, still.picture, (0, 0, place.width, place.height))
    return below([place, _head(still.name, still.verdict, scale, REGULAR, scale.text)], scale.gap)


def _joined(*texts: str) -> str:
    return " · ".join(text for text in texts if text)


def block(text: str, size: int, colour: str, width: int, weight: int = REGULAR) -> Block:
    """Return a text in the sheet's typeface, wrapped to `width` px."""
    font = face(size, weight)
    lines = (line for paragraph in tidy(text) for line in wrap(substitute(paragraph), font, width))
    return Block(tuple(lines), font, colour, 0.35 * size)


def text_picture(blocks: Sequence[Block], width: int, size: int) -> Image.Image:
    """Return blocks of text below each other on the sheet's ground.

    The first baseline lies the same distance down whatever its letters are, for a first line of `size` px an em, so
    that neighbours stand level.
    """
    lines = stack(blocks)
    down = max(ceil(_RISE * size) - lines[0].baseline, 0) if lines else 0
    depth = max(bottom(lines), lines[-1].baseline + _DEPTH * lines[-1].font.size) if lines else 0
    picture = Image.new("RGB", (width, max(ceil(depth) + down, 1)), GROUND)
    draw = ImageDraw.Draw(picture)
    for line in lines:
        draw.text((line.x, line.baseline + down), line.text, line.colour, line.font, anchor="ls")
    return picture


def below(pictures: Iterable[Image.Image], gap: int) -> Image.Image:
    """Return pictures below each other, left-aligned, `gap` px apart."""
    column = list(pictures)
    height = sum(picture.height + gap for picture in column) - gap
    joined = Image.new("RGB", (max(picture.width for picture in column), height), GROUND)
    y = 0
    for picture in column:
        joined.paste(picture, (0, y))
        y += picture.height + gap
    return joined


def _head(name: str, verdict: str, scale: Scale, weight: int, size: int) -> Image.Image:
    """Draw a name at the left and its verdict at the right, on one baseline."""
    font, mark = face(scale.text), round(0.72 * scale.text)
    verdict_width = ceil(mark + 0.5 * scale.text + ink(verdict, font).width)
    name_width = max(scale.width - verdict_width - 2 * scale.gap, 1)
    picture = text_picture([block(name or " ", size, INK, name_width, weight)], scale.width, size)
    x, baseline = scale.width - verdict_width, ceil(_RISE * size)
    picture.paste(mark_picture(verdict, mark), (x, baseline - mark))
    place = (x + mark + 0.5 * scale.text, baseline)
    ImageDraw.Draw(picture).text(place, verdict, colour_of(verdict), font, anchor="ls")
    return picture


def _pictures(entry: SheetEntry, scale: Scale) -> Image.Image:
    """Draw the still with its details at the left, the frames at the right."""
    place = Image.new("RGB", (scale.width, round(PICTURE_HEIGHT * scale.width)), GROUND)
    boxes = _frame_boxes(entry.moments, place, scale.gap)
    for frame, box in zip(entry.moments, boxes, strict=True):
        _lay(place, frame, box)
    left = min((box[0] for box in boxes), default=scale.width + scale.gap) - scale.gap
    known = entry.picture is not None
    details, outline = entry.details if known else (), entry.outline if known else None
    _lay(place, entry.shown, (0, 0, left, place.height), details, outline, scale.text)
    return place


_Box = tuple[int, int, int, int]


def _frame_boxes(frames: Sequence[Picture], place: Image.Image, gap: int) -> list[_Box]:
    """Return x, y, width, height of each frame: below each other or side by side, whichever shows them larger."""
    if not frames:
        return []
    count, aspect = len(frames), frames[0].shape[1] / frames[0].shape[0]
    room = FRAMES_WIDTH * place.width
    stacked = min((place.height - (count - 1) * gap) / count, room / aspect)
    in_row = min((room - (count - 1) * gap) / count / aspect, place.height)
    height = int(max(stacked, in_row, 1))
    width = max(int(height * aspect), 1)
    if stacked >= in_row:
        return [(place.width - width, round(k * (stacked + gap)), width, height) for k in range(count)]
    return [(place.width - (count - k) * width - (count - 1 - k) * gap, 0, width, height) for k in range(count)]


def _lay(
    place: Image.Image,
    picture: Picture | None,
    box: _Box,
    details: tuple[Share, ...] = (),
    outline: Outline | None = None,
    size: int = 11,
) -> None:
    """Lay a picture into a box from its top-left corner, made smaller where it must be, never larger."""
    x, y, width, height = box
    if picture is None:
        ImageDraw.Draw(place).rectangle((x, y, x + min(width, round(1.5 * height)) - 1, y + height - 1), outline=LINE)
        return
    image = Image.fromarray(picture)
    image.thumbnail((max(width, 1), max(height, 1)), Image.Resampling.LANCZOS)
    if outline is not None:
        draw_outline(image, outline, size)
    draw_details(image, details, size)
    place.paste(image, (x, y))
