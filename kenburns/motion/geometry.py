"""Sizes and rectangles, and how one aspect sits in another.

Image coordinates are continuous: (0, 0) is the top-left corner of the oriented image, a pixel's centre lies at
+0.5; x runs right, y down.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Size:
    """Width and height in whole pixels, both at least 1."""

    width: int
    height: int

    def __post_init__(self) -> None:
        if self.width < 1 or self.height < 1:
            raise ValueError(f"a size is at least 1x1 px, not {self}")

    def __str__(self) -> str:
        return f"{self.width}x{self.height}"

    @property
    def aspect(self) -> float:
        """Width over height."""
        return self.width / self.height


@dataclass(frozen=True, slots=True)
class Rect:
    """x, y of the top-left corner, width and height, in source pixels."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The right edge's x."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """The bottom edge's y."""
        return self.y + self.height

    @property
    def centre(self) -> tuple[float, float]:
        """(x, y) of the middle."""
        return self.x + self.width / 2, self.y + self.height / 2

    @property
    def area(self) -> float:
        """Square source pixels."""
        return self.width * self.height

    def within(self, other: Rect) -> bool:
        """Whether no part of this rectangle lies outside `other`."""
        return self.x >= other.x and self.y >= other.y and self.right <= other.right and self.bottom <= other.bottom


Point = tuple[float, float]
"""x, y."""

Corners = tuple[Point, Point, Point, Point]
"""Of a quadrangle, from top left clockwise."""


def corners_of(rect: Rect) -> Corners:
    """Return the corners of an upright rectangle."""
    return (rect.x, rect.y), (rect.right, rect.y), (rect.right, rect.bottom), (rect.x, rect.bottom)


def box_around(corners: Corners) -> Rect:
    """Return the smallest upright rectangle that holds the quadrangle."""
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return Rect(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))


def box_inside(corners: Corners) -> Rect:
    """Return the upright rectangle between the inmost corners of each side of a quadrangle that is nearly upright.

    It lies inside the quadrangle where opposite sides leave it room; where they do not, the box around is returned.
    """
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = corners
    left, right, top, bottom = max(ax, dx), min(bx, cx), max(ay, by), min(cy, dy)
    return Rect(left, top, right - left, bottom - top) if right > left and bottom > top else box_around(corners)


def is_convex(corners: Corners) -> bool:
    """Whether the corners go round clockwise (y runs down) and every one of them turns the same way."""
    turns = zip(corners, (*corners[1:], *corners[:1]), (*corners[2:], *corners[:2]), strict=True)
    return all((bx - ax) * (cy - by) - (by - ay) * (cx - bx) > 0 for (ax, ay), (bx, by), (cx, cy) in turns)


def bounds(size: Size) -> Rect:
    """Return the rectangle that the whole image fills."""
    return Rect(0.0, 0.0, float(size.width), float(size.height))


def overlap(a: Rect, b: Rect) -> float:
    """Return the common area of two rectangles, 0 where they do not meet."""
    width = min(a.right, b.right) - max(a.x, b.x)
    height = min(a.bottom, b.bottom) - max(a.y, b.y)
    return max(width, 0.0) * max(height, 0.0)


def common(a: Rect, b: Rect) -> Rect | None:
    """Return the common part of two rectangles, None where they have none."""
    x, y = max(a.x, b.x), max(a.y, b.y)
    width, height = min(a.right, b.right) - x, min(a.bottom, b.bottom) - y
    return Rect(x, y, width, height) if width > 0 and height > 0 else None


def hull(*rects: Rect) -> Rect:
    """Return the smallest rectangle around all the given ones."""
    x, y = min(r.x for r in rects), min(r.y for r in rects)
    return Rect(x, y, max(r.right for r in rects) - x, max(r.bottom for r in rects) - y)


def around(centre: tuple[float, float], width: float, frame: Size) -> Rect:
    """Return the rectangle of the frame's aspect with this centre and width."""
    height = width * frame.height / frame.width
    return Rect(centre[0] - width / 2, centre[1] - height / 2, width, height)


def slide_inside(rect: Rect, outer: Rect) -> Rect:
    """Move `rect` the least distance so that it lies in `outer`; centre it on an axis where it is longer."""
    return Rect(
        _slide(rect.x, rect.width, outer.x, outer.width),
        _slide(rect.y, rect.height, outer.y, outer.height),
        rect.width,
        rect.height,
    )


def _slide(start: float, length: float, outer_start: float, outer_length: float) -> float:
    if length >= outer_length:
        return outer_start + (outer_length - length) / 2
    return min(max(start, outer_start), outer_start + outer_length - length)


def containing(rect: Rect, frame: Size) -> Rect:
    """Return the smallest rectangle of the frame's aspect that shows all of `rect`, centred on it."""
    return around(rect.centre, max(rect.width, rect.height * frame.width / frame.height), frame)


def filling(rect: Rect, frame: Size) -> Rect:
    """Return the largest rectangle of the frame's aspect inside `rect`, centred on it."""
    return around(rect.centre, min(rect.width, rect.height * frame.width / frame.height), frame)
