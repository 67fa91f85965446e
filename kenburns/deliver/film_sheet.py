"""The contact sheet of a film: each slot's still, verdict, details, and first, middle and last frame."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import chain

import cv2
import numpy as np
from numpy.typing import NDArray

from ..cards.look import Look, rgb
from ..errors import PhotographError
from ..motion.geometry import Rect, Size
from ..motion.headroom import Headroom
from ..motion.timebase import format_timecode
from ..plan.document import Plan, PlannedSlot
from ..plan.material import Material
from ..plan.views import slot_path
from ..render.card_pictures import card_pictures
from ..stills.folder import Refusal
from ..stills.open import Photograph
from ..stills.small import small_rgb
from .credits import NOTICE
from .sheet import RefusedFile, Sheet, SheetEntry, UnusedStill
from .sheet_pages import page_files
from .thumbnails import outline_of, reduced, share_of

SHEET = "sheet"
"""The stem of the sheet's files; see `sheet_pages.page_files`."""

Picture = NDArray[np.uint8]
PLAIN = Look()

_LONGEST = 1600  # of the small version that thumbnails are cut from, pixels
_TILE = 480  # width of a frame's thumbnail, pixels
_STILL = 720  # longest side of a still's thumbnail, pixels


def film_sheet(
    plan: Plan,
    material: Material,
    rooms: Mapping[str, Headroom],
    refused: Sequence[Refusal],
    look: Look = PLAIN,
) -> Sheet:
    """Return the sheet of a plan, its pictures still to be drawn.

    They are cut from small versions of the photographs; cards are drawn in their look.
    """
    drawing = _Drawing(plan, material, look)
    return Sheet(
        film=plan.title,
        summary=_summary(plan),
        entries=tuple(
            replace(_entry(slot, plan, material, rooms), mark=drawing.mark(slot, rooms)) for slot in plan.slots
        ),
        unused=tuple(
            UnusedStill(name, rooms[name].verdict, mark=material.photographs[name].sha256)
            for name in _unused(plan, rooms)
        ),
        refused=tuple(RefusedFile(refusal.name, refusal.reason) for refusal in refused),
        notice=NOTICE if any(slot.rights for slot in plan.slots) else "",
        draw=drawing.entry,
        draw_unused=drawing.unused,
    )


def sheet_files(plan: Plan, photographs: Iterable[str]) -> tuple[str, ...]:
    """Return the names of all files that the sheet of a plan has; `photographs` are all there are, by name."""
    return tuple(chain(*page_files(SHEET, len(plan.slots) + len(_unused(plan, photographs)))))


def _unused(plan: Plan, photographs: Iterable[str]) -> list[str]:
    used = {slot.photograph.file for slot in plan.slots if slot.photograph}
    return [name for name in photographs if name not in used]


class _Drawing:
    """Draws the pictures of a film's entries."""

    def __init__(self, plan: Plan, material: Material, look: Look) -> None:
        self._plan, self._material, self._look = plan, material, look
        self._slots = {slot.slot: slot for slot in plan.slots}
        self._stills = _Stills(material, rgb(plan.matte))
        self._common = repr((plan.frame, plan.matte, plan.handles, plan.rate, look))

    def mark(self, slot: PlannedSlot, rooms: Mapping[str, Headroom]) -> str:
        """Return a hash of what the pictures of a slot's entry show."""
        stills = [still for still in (slot.still, slot.photograph) if still]
        shown = [
            (self._material.photographs[still.file].sha256, rooms.get(still.file))
            for still in stills
            if still.file in self._material.photographs
        ]
        told = repr((self._common, slot.model_dump_json(), shown))
        return hashlib.sha256(told.encode("utf-8", "surrogatepass")).hexdigest()

    def entry(self, entry: SheetEntry) -> SheetEntry:
        slot = self._slots[entry.slot]
        picture = self._stills.picture(slot.still.file) if slot.still else None
        return replace(entry, picture=picture, frames=self._frames(slot))

    def _frames(self, slot: PlannedSlot) -> tuple[Picture, ...]:
        if slot.kind == "card":
            return _card(slot, self._plan, self._look, self._material)
        return _frames(slot, self._plan, self._stills)

    def unused(self, still: UnusedStill) -> UnusedStill:
        return replace(still, picture=self._stills.picture(still.name))


class _Stills:
    """Small versions of the photographs; the last one is kept, as neighbouring slots often share it."""

    def __init__(self, material: Material, matte: tuple[int, int, int]) -> None:
        self._photographs: Mapping[str, Photograph] = material.photographs
        self._matte = matte
        self._last: tuple[str, Picture] | None = None

    def small(self, name: str) -> Picture | None:
        if self._last is None or self._last[0] != name:
            try:
                self._last = name, small_rgb(self._photographs[name], _LONGEST, self._matte)
            except PhotographError:
                return None
        return self._last[1]

    def picture(self, name: str) -> Picture | None:
        small = self.small(name)
        return None if small is None else reduced(small, _STILL)

    def frame(self, name: str, size: Size, view: Rect, frame: Size) -> Picture | None:
        """Return what the frame shows, the matte around the photograph included."""
        small = self.small(name)
        if small is None:
            return None
        tile = Size(_TILE, max(round(_TILE * frame.height / frame.width), 1))
        to_small = small.shape[1] / size.width
        step_x, step_y = view.width * to_small / tile.width, view.height * to_small / tile.height
        # Pixel centres lie at whole numbers for warpAffine, at + 0.5 for us.
        place = np.array(
            [[step_x, 0, view.x * to_small + step_x / 2 - 0.5], [0, step_y, view.y * to_small + step_y / 2 - 0.5]]
        )
        matte = tuple(float(level) for level in self._matte)
        flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        source, place = _prefiltered(small, place, max(step_x, step_y))
        shown = cv2.warpAffine(source, place, (tile.width, tile.height), flags=flags, borderValue=matte)
        return np.asarray(shown, np.uint8)


def _prefiltered(small: Picture, place: NDArray[np.float64], step: float) -> tuple[Picture, NDArray[np.float64]]:
    """Shrink the source by what linear interpolation alone would skip over."""
    if step <= 1:
        return small, place
    width, height = max(round(small.shape[1] / step), 1), max(round(small.shape[0] / step), 1)
    shrunk = np.asarray(cv2.resize(small, (width, height), interpolation=cv2.INTER_AREA), np.uint8)
    ratio = np.array([[width / small.shape[1]], [height / small.shape[0]]])
    moved = place * ratio
    moved[:, 2] += (ratio[:, 0] - 1) * 0.5
    return shrunk, moved


def _entry(slot: PlannedSlot, plan: Plan, material: Material, rooms: Mapping[str, Headroom]) -> SheetEntry:
    still = slot.still
    room = rooms.get(still.file) if still else None
    return SheetEntry(
        slot=slot.slot,
        title=slot.wanted,
        timecode=format_timecode(slot.start, plan.exact_rate, drop=plan.drop),
        length=f"{float(slot.frames / plan.exact_rate):.2f} s · {slot.frames} frames",
        shot=slot.shown_as,
        still_name=still.file if still else "",
        verdict=room.verdict if room else "words" if slot.words else "missing",
        remark=_remark(slot, material, plan.frame.size),
        credit=slot.credit,
        details=tuple(share_of(rect, still.size) for rect in material.details.get(still.file, ())) if still else (),
        outline=outline_of(material.outlines.get(still.file), still.size) if still else None,
        flags=slot.flags,
        rights=slot.rights,
        captions=("first", "last") if slot.words and len(slot.words.screens) == 2 else ("first", "middle", "last"),
        card=slot.placeholder,
    )


def _remark(slot: PlannedSlot, material: Material, frame: Size) -> str:
    notes = [note for part in (*slot.shots, slot.words) if part for note in part.notes]
    soft = material.softness(slot.still.file, frame) if slot.still else None
    return " · ".join(filter(None, (*notes, soft, slot.note)))


def _card(slot: PlannedSlot, plan: Plan, look: Look, material: Material) -> tuple[Picture, ...]:
    """Return the slot's card; nothing where its words do not fit the frame."""
    behind = material.photographs.get(slot.photograph.file) if slot.photograph else None
    try:
        pictures = card_pictures(slot, plan.frame.size, look, behind)
    except (ValueError, PhotographError):
        return ()
    return tuple(reduced(picture, _STILL) for picture in pictures)


def _frames(slot: PlannedSlot, plan: Plan, stills: _Stills) -> tuple[Picture, ...]:
    """Return the first, middle and last frame of the slot, handles left out."""
    if slot.still is None:
        return ()
    path = slot_path(slot, plan.frame)
    at = [plan.handles + frame for frame in (0, slot.frames // 2, slot.frames - 1)]
    shown = [stills.frame(slot.still.file, slot.still.size, Rect(*path[i].tolist()), plan.frame.size) for i in at]
    return tuple(frame for frame in shown if frame is not None)


def _summary(plan: Plan) -> str:
    cards, words = sum(slot.placeholder for slot in plan.slots), sum(bool(slot.words) for slot in plan.slots)
    flagged = sum(bool(slot.flags) for slot in plan.slots)
    rate = float(plan.exact_rate)
    counts = ((len(plan.slots), "slot"), (len(plan.slots) - cards - words, "clip"), (cards, "card"))
    parts = [f"{number} {what}{'s' * (number != 1)}" for number, what in counts]
    parts += [f"{words} of words"] * bool(words) + [f"{flagged} to look at"]
    return " · ".join([*parts, f"{plan.frame.size} px", f"{rate:.5g} frames a second"])
