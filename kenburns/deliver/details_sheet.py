"""The contact sheet of details: every photograph with the outline of its work and its details, each shown by itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from ..errors import PhotographError
from ..motion.geometry import Rect, Size, bounds, corners_of
from ..motion.headroom import Headroom
from ..plan.material import Material, Seen
from ..stills.folder import Refusal
from ..stills.interest.details import Detail
from ..stills.open import Photograph
from ..stills.outline.artwork import CONFIDENT
from ..stills.small import small_rgb
from .sheet import Picture, RefusedFile, Sheet, SheetEntry
from .thumbnails import outline_of, reduced, share_of

DETAILS = "details"
"""The stem of the sheet's files; see `sheet_pages.page_files`."""

_LONGEST = 1600  # of the small version that thumbnails are cut from, pixels
_STILL = 900  # longest side of a still's thumbnail, pixels
_TILE = 480  # width of a detail's thumbnail, pixels


def details_sheet(
    film: str, material: Material, rooms: dict[str, Headroom], refused: Sequence[Refusal], frame: Size
) -> Sheet:
    """Return the sheet of the photographs' details, its pictures still to be drawn."""
    entries = [
        _entry(photograph, material.seen[name], rooms[name], frame) for name, photograph in material.photographs.items()
    ]
    count = sum(len(seen.details) for seen in material.seen.values())
    return Sheet(
        film=film,
        summary=f"{_counted(len(entries), 'photograph')} · {_counted(count, 'detail')} · {frame} px",
        entries=tuple(entries),
        refused=tuple(RefusedFile(refusal.name, refusal.reason) for refusal in refused),
        kind="details",
        draw=lambda entry: _drawn(entry, material.photographs[entry.slot], material.seen[entry.slot]),
    )


def _entry(photograph: Photograph, seen: Seen, room: Headroom, frame: Size) -> SheetEntry:
    warning = seen.real.warning(room.work, frame)
    return SheetEntry(
        slot=photograph.name,
        title=f"{photograph.size} px",
        timecode=f"real detail: {seen.real.detail_class}",
        length=work_in_words(seen, photograph),
        shot="",
        still_name="",
        verdict=room.verdict,
        remark=" · ".join(f"{number} {detail_in_words(detail, frame)}" for number, detail in _numbered(seen.details)),
        details=tuple(share_of(detail.rect, photograph.size) for detail in seen.details),
        captions=tuple(f"{number} {detail.reason}" for number, detail in _numbered(seen.details)),
        flags=(warning,) if warning else (),
        outline=outline_of(seen.outline, photograph.size) if photograph.corners is None else None,
    )


def _drawn(entry: SheetEntry, photograph: Photograph, seen: Seen) -> SheetEntry:
    """Return an entry with its pictures; as it is, where the photograph can no longer be read."""
    try:
        small = small_rgb(photograph, _LONGEST)
    except PhotographError:
        return entry
    details = tuple(_cut(small, detail.rect, photograph.size) for detail in seen.details)
    return replace(entry, picture=reduced(small, _STILL), frames=details)


def work_in_words(seen: Seen, photograph: Photograph) -> str:
    """Return what is known of where the work is."""
    if photograph.corners is not None:
        return "work squared up"
    if seen.outline is None:
        return "work: the whole photograph"
    if seen.confidence == 1:
        return "work: outline set by hand"
    sure = f"{seen.confidence:.0%} sure"
    return (
        f"work: outline found, {sure}" if seen.confidence >= CONFIDENT else f"work: the whole kept, outline only {sure}"
    )


def detail_in_words(detail: Detail, frame: Size) -> str:
    """Return a detail's reason, score, and how many source pixels it has to a frame pixel."""
    return f"{detail.reason}, {detail.score:.2f}, {headroom_of(detail, frame):.2f}×"


def headroom_of(detail: Detail, frame: Size) -> float:
    """Return how much closer than the detail one could go before 1:1; 1 where it is at 1:1."""
    return min(detail.rect.width / frame.width, detail.rect.height / frame.height)


def _numbered(details: Sequence[Detail]) -> Iterable[tuple[int, Detail]]:
    return enumerate(details, start=1)


def _cut(small: Picture, rect: Rect, size: Size) -> Picture:
    ratio = small.shape[1] / size.width, small.shape[0] / size.height
    left, top = int(rect.x * ratio[0]), int(rect.y * ratio[1])
    right, bottom = max(round(rect.right * ratio[0]), left + 1), max(round(rect.bottom * ratio[1]), top + 1)
    return reduced(np.ascontiguousarray(small[top:bottom, left:right]), _TILE)


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'s' * (number != 1)}"


def outline_json(seen: Seen, photograph: Photograph) -> list[list[float]] | None:
    """Return the outline's corners from top left clockwise in pixels of the photograph, None for the whole."""
    if seen.outline is None or seen.outline == corners_of(bounds(photograph.photograph_size)):
        return None
    return [[round(x, 2), round(y, 2)] for x, y in seen.outline]
