"""Every photograph of a film looked at once: what of it is the work, how much of it is real, where to go closer.

What was set by hand is followed and never proposed anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .cards.look import rgb
from .errors import PhotographError
from .film import Film, StillEdit
from .motion.geometry import Corners, Rect, Size, bounds, box_inside, common, slide_inside
from .motion.shots import DEPTH
from .motion.views import Runs, pan_size, tilt_size
from .plan.material import Material, Seen
from .records import Records, look_key
from .stills.detail.compression import jpeg_quality
from .stills.detail.estimate import real_detail
from .stills.detail.patches import patch_places
from .stills.folder import Refusal
from .stills.glance import glance
from .stills.interest.details import Detail, propose_details
from .stills.interest.faces import Face, find_faces
from .stills.interest.reading_order import pan_run, tilt_run
from .stills.interest.saliency import Map, saliency
from .stills.interest.writing import find_writing
from .stills.open import Photograph, squared_up
from .stills.opened_apart import opened_apart, side_by_side
from .stills.outline.artwork import CONFIDENT, Outline, find_work
from .stills.small import squared_up_small

LONGEST = 1024
"""Longest side, in pixels, of the version on which work and details are looked for."""

BY_HAND = "set by hand"
"""The reason of a detail that a person chose."""

Picture = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Looked:
    """The photographs that can be used with what is known of each, those that cannot, and remarks."""

    material: Material
    refused: tuple[Refusal, ...]
    remarks: tuple[str, ...]


def look_at_all(
    photographs: Sequence[Photograph], frame: Size, film: Film, records: Records, depth: float = DEPTH
) -> Looked:
    """Look at every photograph, for details that fill `frame`; one that turns out to be damaged is refused.

    `depth`: how many times closer than the whole a push in ends; pans and tilts leave as much to travel over. What the
    records remember is not looked at again.
    """
    matte = rgb(film.settings.matte)

    def look(photograph: Photograph) -> tuple[Photograph, Seen] | Refusal:
        hand = film.still(photograph.name)
        key = look_key(photograph, hand, frame, matte, depth)
        known = records.look(key)
        if known is not None:
            return replace(known[0], path=photograph.path), known[1]
        try:
            found = opened_apart(_look, photograph, frame, hand, matte, depth)
        except PhotographError as error:
            return Refusal(photograph.name, str(error))
        records.keep(key, *found)
        return found

    found = side_by_side(look, photographs)
    good = [both for both in found if not isinstance(both, Refusal)]
    return Looked(
        _material(good),
        tuple(both for both in found if isinstance(both, Refusal)),
        tuple(remark for photograph, _ in good for remark in _remarks(photograph, film)),
    )


def _material(good: Sequence[tuple[Photograph, Seen]]) -> Material:
    return Material(
        {photograph.name: photograph for photograph, _ in good},
        {photograph.name: tuple(detail.rect for detail in seen.details) for photograph, seen in good},
        {photograph.name: outline for photograph, seen in good if (outline := _sure(photograph, seen))},
        {photograph.name: seen for photograph, seen in good},
    )


def _sure(photograph: Photograph, seen: Seen) -> Corners | None:
    """Return the outline to keep to, in pixels of what is shown: none of a work that was squared up."""
    return seen.outline if seen.confidence >= CONFIDENT and photograph.corners is None else None


def _look(
    photograph: Photograph, frame: Size, hand: StillEdit, matte: tuple[int, int, int], depth: float
) -> tuple[Photograph, Seen]:
    # Also looked at where all is set by hand: a damaged file is better found now than while rendering.
    seen = glance(photograph, LONGEST, patch_places, matte)
    real = real_detail(seen.patches, jpeg_quality(photograph.path) if photograph.format == "JPEG" else None)
    small = seen.small
    scale = photograph.size.width / small.shape[1], photograph.size.height / small.shape[0]
    outline = Outline(hand.outline, 1.0, "rectangle") if hand.outline else _scaled(find_work(small), scale)
    sure = outline.corners if outline.confidence >= CONFIDENT else None
    if hand.square_up and sure:
        photograph = squared_up(photograph, sure)
        small, sure = squared_up_small(small, photograph, LONGEST), None
    work = box_inside(sure) if sure else None
    faces = find_faces(small)
    interest = saliency(small, faces=faces)
    details = _by_hand(hand, photograph.size) or _proposed(small, interest, faces, photograph.size, frame, work)
    runs = None if hand.details else _runs(interest, photograph.size, frame, work, depth)
    return photograph, Seen(outline.corners, outline.confidence, real, details, runs)


def _scaled(outline: Outline, scale: tuple[float, float]) -> Outline:
    if outline.corners is None:
        return outline
    a, b, c, d = ((x * scale[0], y * scale[1]) for x, y in outline.corners)
    return Outline((a, b, c, d), outline.confidence, outline.kind)


def _by_hand(hand: StillEdit, size: Size) -> tuple[Detail, ...]:
    return tuple(Detail(_part_inside(area, size), 1.0, BY_HAND) for area in hand.details)


def _proposed(
    small: Picture, interest: Map, faces: Sequence[Face], size: Size, frame: Size, work: Rect | None
) -> tuple[Detail, ...]:
    return propose_details(
        interest,
        size,
        frame,
        work=work,
        rgb=small,
        faces=[_onto(face.rect, small, size) for face in faces],
        writing=[_onto(line.rect, small, size) for line in find_writing(small)],
    )


def _runs(interest: Map, size: Size, frame: Size, work: Rect | None, depth: float) -> Runs | None:
    """Return where a pan and a tilt would go; None where the work has no room for their views."""
    area = common(work or bounds(size), bounds(size)) or bounds(size)
    across, down = pan_size(area, frame, depth), tilt_size(area, frame, depth)
    if max(across.width, down.width) > area.width or max(across.height, down.height) > area.height:
        return None
    pan = pan_run(interest, size, area, (across.width, across.height))
    tilt = tilt_run(interest, size, area, (down.width, down.height))
    return Runs((pan.start, pan.end), (tilt.start, tilt.end))


def _onto(rect: Rect, small: Picture, size: Size) -> Rect:
    """Return a rectangle of the small version in pixels of the photograph."""
    across, down = size.width / small.shape[1], size.height / small.shape[0]
    return Rect(rect.x * across, rect.y * down, rect.width * across, rect.height * down)


def _part_inside(area: Rect, size: Size) -> Rect:
    """Return what of an area lies in the picture; where nothing does, the area moved to it, so that numbers stay."""
    picture = bounds(size)
    part = common(area, picture)
    if part is not None:
        return part
    fitting = Rect(area.x, area.y, min(area.width, picture.width), min(area.height, picture.height))
    return slide_inside(fitting, picture)


def _remarks(photograph: Photograph, film: Film) -> tuple[str, ...]:
    """Say where a wish could not be followed because nobody knows where the work is."""
    if not film.still(photograph.name).square_up or photograph.corners is not None:
        return ()
    return (f"'{photograph.name}' is not squared up: its corners were not found for sure; give them as its outline",)
