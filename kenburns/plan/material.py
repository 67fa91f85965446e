"""What there is to show: the photographs of a film, and what is known of each."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from ..motion.geometry import Corners, Rect, Size, around, bounds, box_around, common, filling, slide_inside
from ..motion.views import Runs
from ..stills.detail.estimate import RealDetail
from ..stills.interest.details import Detail
from ..stills.open import Photograph


@dataclass(frozen=True, slots=True)
class Seen:
    """What looking at a photograph has found.

    `outline`: the work's corners in pixels, None for the whole picture, whether sure or not; `confidence` (0 to 1) is
    1 for one set by hand. `details` come with their scores and reasons; `runs` is where a pan and a tilt would go, None
    where details were set by hand.
    """

    outline: Corners | None
    confidence: float
    real: RealDetail
    details: tuple[Detail, ...]
    runs: Runs | None = None


@dataclass(frozen=True, slots=True)
class Material:
    """What there is to show, by file name: photographs; each one's details; and where in it the work lies.

    Details and outlines are those set by hand, or else those found and sure; no outline where the work is the whole
    picture. `seen` tells more of what was found.
    """

    photographs: Mapping[str, Photograph]
    details: Mapping[str, Sequence[Rect]]
    outlines: Mapping[str, Corners] = field(default_factory=dict)
    seen: Mapping[str, Seen] = field(default_factory=dict)

    def work(self, name: str) -> Rect | None:
        """Return the box around the work in a photograph, in pixels; None where the work is the whole picture."""
        outline = self.outlines.get(name)
        return common(box_around(outline), bounds(self.photographs[name].size)) if outline else None

    def shown(self, name: str) -> Size:
        """Return the size in whole pixels of what a photograph has to show: the work, or all of it."""
        work = self.work(name)
        return self.photographs[name].size if work is None else Size(int(work.width) or 1, int(work.height) or 1)

    def softness(self, name: str, frame: Size) -> str | None:
        """Return a warning where a photograph holds less detail than its pixels promise, to be put after its name."""
        seen = self.seen.get(name)
        return seen.real.warning(self.shown(name), frame) if seen else None


def refitted(material: Material, frame: Size, other: Size) -> Material:
    """Return the material with the same details in another frame's aspect: each as large, about the same middle."""
    if frame == other:
        return material
    details = {
        name: tuple(_refitted(rect, other, material.photographs[name].size) for rect in rects)
        for name, rects in material.details.items()
    }
    seen = {name: replace(known, runs=None) for name, known in material.seen.items()}
    return replace(material, details=details, seen=seen)


def _refitted(rect: Rect, frame: Size, still: Size) -> Rect:
    most = filling(bounds(still), frame).width
    width = min(max(math.sqrt(rect.area * frame.aspect), float(frame.width)), most)
    return slide_inside(around(rect.centre, width, frame), bounds(still))
