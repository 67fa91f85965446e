"""How many pixels a frame and a zoom need, and whether a photograph has them.

Zoom 1: the largest view of the frame's aspect inside the picture fills the frame. Zoom 2 shows half as much across.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from .geometry import Size

Verdict = Literal["good", "short", "small"]


@dataclass(frozen=True, slots=True)
class Headroom:
    """What one photograph bears in one frame before a pixel would be enlarged. Made by `headroom`."""

    still: Size
    work: Size  # of what is shown: the work in the photograph, or the whole of it
    frame: Size
    zoom: float  # the zoom asked for, at least 1
    largest_zoom: float  # the zoom at which one source pixel is one frame pixel; below 1 if it cannot fill the frame
    verdict: Verdict  # "good": bears the zoom; "short": fills the frame, but not at this zoom; "small": less than it
    needed: Size | None  # the smallest photograph of the same shape that bears the zoom; None where this one does
    reason: str  # one sentence, to be put after the photograph's name

    @property
    def smallest_detail(self) -> Size:
        """The smallest detail that can fill the frame, in source pixels: at 1:1, the frame's own size."""
        return self.frame

    @property
    def smallest_detail_share(self) -> float:
        """Width of the smallest detail as a share of the work's width; above 1 where the work is narrower."""
        return self.frame.width / self.work.width


def headroom(still: Size, frame: Size, zoom: float | Fraction = 1.0, work: Size | None = None) -> Headroom:
    """Return what `still` bears in `frame`, judged at `zoom`; ValueError for a zoom below 1 or not finite.

    `work` is the size of what is shown, where that is not all of the photograph: wall around a work bears no zoom.
    Compared in whole numbers and fractions: 4224 pixels bear a zoom of 1.1 on 3840, 4223 do not.
    """
    exact = _as_typed(zoom)
    shown = work or still
    largest = min(Fraction(shown.width, frame.width), Fraction(shown.height, frame.height))
    verdict = _verdict(largest, exact)
    needed = None if verdict == "good" else _scaled_up(still, exact / largest)
    reason = _reason(_has(still, shown), frame, exact, largest, needed)
    return Headroom(still, shown, frame, float(zoom), float(largest), verdict, needed, reason)


def detail_cm(room: Headroom, work_width_cm: float, work_height_cm: float) -> tuple[float, float]:
    """Return width and height of the smallest detail on the work itself, in centimetres, at most the whole work.

    Raises ValueError for a size that is not above 0.
    """
    if not (work_width_cm > 0 and work_height_cm > 0):
        raise ValueError(f"a work's width and height are above 0 cm, not {work_width_cm} and {work_height_cm}")
    across = min(room.frame.width / room.work.width, 1.0)
    down = min(room.frame.height / room.work.height, 1.0)
    return across * work_width_cm, down * work_height_cm


def _as_typed(zoom: float | Fraction) -> Fraction:
    """Return the zoom a person meant: 1.1 is 11/10, not the double next to it."""
    if not 1 <= zoom < math.inf:
        raise ValueError(f"a zoom is at least 1 (the picture fills the frame), not {zoom}")
    return zoom if isinstance(zoom, Fraction) else Fraction(repr(float(zoom)))


def _verdict(largest: Fraction, zoom: Fraction) -> Verdict:
    if largest >= zoom:
        return "good"
    return "short" if largest >= 1 else "small"


def _scaled_up(size: Size, factor: Fraction) -> Size:
    return Size(math.ceil(size.width * factor), math.ceil(size.height * factor))


def _has(still: Size, shown: Size) -> str:
    return f"{_pixels(still)} px" + (f", the work in it {_pixels(shown)} px" if shown != still else "")


def _reason(has: str, frame: Size, zoom: Fraction, largest: Fraction, needed: Size | None) -> str:
    if needed is None:
        return f"{has}; a {_pixels(frame)} frame can zoom to {float(largest):.2f} before 1:1"
    least = _scaled_up(frame, zoom)
    at = "" if zoom == 1 else f" at zoom {float(zoom):g}"
    return f"{has}; a {_pixels(frame)} frame{at} needs at least {_pixels(least)}: ask for {_pixels(needed)}"


def _pixels(size: Size) -> str:
    return f"{size.width}×{size.height}"
