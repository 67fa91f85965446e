"""A map to ranked rectangles: which parts of a picture are worth going close to, how close, and why."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ...motion.geometry import Rect, Size, bounds, common
from .character import character
from .picking import MOST_OVERLAP, REASONS, Detail, Subjects, picked
from .places import best_places
from .placing import LEAST_CLOSER, aligned, ladder, on_grid, on_subjects
from .wholeness import Boxes, all_uncut, head_of, joined, seen_in
from .worth import CLOSER, worth

__all__ = ["CLOSER", "LEAST_CLOSER", "MOST_OVERLAP", "REASONS", "Detail", "best_places", "propose_details"]


def propose_details(
    saliency_map: NDArray[np.float32],
    still: Size,
    frame: Size,
    count: int = 3,
    *,
    work: Rect | None = None,
    least: float = 1.0,
    rgb: NDArray[np.uint8] | None = None,
    faces: Sequence[Rect] = (),
    writing: Sequence[Rect] = (),
) -> tuple[Detail, ...]:
    """Return at most `count` details, best first, hardly overlapping (MOST_OVERLAP of the smaller of two).

    `saliency_map` (shape (h, w), values >= 0) lies over the whole still, at any resolution, and so does `rgb`
    (uint8 sRGB, (h, w, 3)), which tells details of like look apart and gives reasons beyond "centre of interest".
    `faces` and lines of `writing` are in source pixels. Every rectangle has the frame's aspect, is inside `work`
    (default: the whole picture), at least `least` frames wide in source pixels, so that at `least` = 1 it fills the
    frame at 1:1, and at most as wide as the widest view of the work over LEAST_CLOSER. Too few pixels give fewer
    details, or none.

    No detail cuts a head, a face or a line of writing that lies mostly in the work, as long as any place, of any of
    the widths tried, cuts none; where every place cuts something, heads may be cut and faces and writing not, then
    writing too, then anything. Raises ValueError for an empty or negative map, `count` < 0 or `least` < 1.
    """
    _check(saliency_map, count, least)
    area = bounds(still) if work is None else common(work, bounds(still))
    widths = ladder(area, frame, least) if area is not None else ()
    if area is None or not widths or count == 0:
        return ()
    shown = Subjects(seen_in(area, faces), seen_in(area, writing))
    places = _whole_places(area, frame, widths, shown)
    looks = None if rgb is None else character(rgb, still)
    return picked(places, worth(saliency_map, still, places, area, frame), shown, looks, count)


def _check(saliency_map: NDArray[np.float32], count: int, least: float) -> None:
    if saliency_map.ndim != 2 or saliency_map.size == 0 or not saliency_map.min() >= 0:
        raise ValueError(f"the map needs shape (h, w) and no value below 0, not shape {saliency_map.shape}")
    if count < 0 or least < 1:
        raise ValueError(f"count is at least 0 and least at least 1, not {count} and {least}")


def _whole_places(area: Rect, frame: Size, widths: Sequence[int], shown: Subjects) -> Boxes:
    """Return the places that cut nothing that should be whole, by the strictest rule that leaves any."""
    tried = joined([on_grid(area, frame, widths), on_subjects(area, frame, widths, shown.faces, shown.writing)])
    heads = [head_of(face, area) for face in shown.faces]
    rules = ([*heads, *shown.writing], [*shown.faces, *shown.writing], shown.faces)
    for wholes in rules:
        kept = all_uncut(tried, wholes)
        if kept.any():
            return tried.chosen(kept)
        found = joined([aligned(area, frame, width, wholes) for width in widths])
        kept = all_uncut(found, wholes)
        if kept.any():
            return found.chosen(kept)
    return tried
