"""Photographs and cards as JPEG pictures for the page, kept in memory and in the desk's own folder."""

from __future__ import annotations

import hashlib
import json
import math
import threading
from collections import OrderedDict
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from ..cards.look import Look, rgb
from ..files import write_whole
from ..motion.geometry import Size
from ..plan.document import PlannedSlot
from ..render.card_pictures import card_pictures
from ..stills.open import Photograph
from ..stills.small import small_rgb, squared_up_small

WIDTHS = (480, 960, 1920, 3840)

_MAKING = 1  # counted up when the same photograph would give another picture
_QUALITY = 93  # of 100; with colour at full resolution, so that fine red and blue lines stay
_MOST_PIXELS = 40_000_000  # of one picture: a scroll ten times as high as wide is not sent at full width
_LONGEST = 65_000  # px a side: JPEG has no more than 65,535 (ISO/IEC 10918-1)
_IN_MEMORY = 192 << 20  # bytes
_ON_DISK = 2 << 30  # bytes


@dataclass(frozen=True, slots=True)
class Picture:
    """A JPEG and the mark by which an unchanged one is known."""

    mark: str
    jpeg: bytes


class Images:
    """Pictures by what they are made from. Safe from several threads."""

    def __init__(self) -> None:
        self._held: OrderedDict[str, bytes] = OrderedDict()
        self._bytes = 0
        self._lock = threading.Lock()

    def photograph(self, photograph: Photograph, width: int, matte: str, folder: Path | None) -> Picture:
        """Return a photograph (squared up, if it is) `width` px wide, or in its own size if that is smaller.

        `folder` keeps pictures, if there is one. PhotographError where the file can no longer be read.
        """
        mark = photograph_mark(photograph, width, matte)
        kept = None if folder is None else folder / f"{mark}.jpg"
        jpeg = self._known(mark) or _read(kept)
        if jpeg is None:
            jpeg = _jpeg(_small(photograph, longest_side(photograph.size, width), rgb(matte)))
            _keep(kept, jpeg)
        return self._hold(mark, jpeg)

    def card(
        self, slot: PlannedSlot, frame: Size, look: Look, width: int, photograph: Photograph | None = None
    ) -> Picture:
        """Return the card of a slot `width` px wide, or as large as its frame if that is smaller.

        `photograph` is the one that its ground is softened from. ValueError where the slot has no card, or where the
        frame is too small for its words.
        """
        said = slot.words or slot.card
        mark = _mark("card", said.model_dump() if said else None, str(frame), repr(look), width)
        jpeg = self._known(mark)
        if jpeg is None:
            pictures = card_pictures(slot, frame, look, photograph)
            jpeg = _jpeg(_reduced(pictures[len(pictures) // 2 if slot.words and slot.words.step else 0], width))
        return self._hold(mark, jpeg)

    def _known(self, mark: str) -> bytes | None:
        with self._lock:
            return self._held.get(mark)

    def _hold(self, mark: str, jpeg: bytes) -> Picture:
        with self._lock:
            self._bytes += len(jpeg) - len(self._held.pop(mark, b""))
            self._held[mark] = jpeg
            while self._bytes > _IN_MEMORY:
                _, oldest = self._held.popitem(last=False)
                self._bytes -= len(oldest)
        return Picture(mark, jpeg)


def as_taken(photograph: Photograph) -> Photograph:
    """Return a photograph that is squared up as it was taken, others as they are."""
    return replace(photograph, size=photograph.photograph_size, corners=None, taken=None)


def photograph_mark(photograph: Photograph, width: int, matte: str) -> str:
    """Return the mark of a picture before it is made."""
    return _mark("photograph", photograph.sha256, photograph.corners, width, matte)


def longest_side(size: Size, width: int) -> int:
    """Return the longer side, in px, of a picture of this size `width` px wide, within what one picture may hold."""
    across = min(width, size.width, math.sqrt(_MOST_PIXELS * size.aspect))
    return max(1, min(round(across * max(1.0, 1 / size.aspect)), _LONGEST))


def prune(folder: Path, most: int = _ON_DISK) -> None:
    """Take the oldest pictures out of a folder until it holds at most `most` bytes."""
    pictures = sorted(((path.stat(), path) for path in folder.glob("*.jpg")), key=lambda both: both[0].st_mtime)
    total = sum(told.st_size for told, _ in pictures)
    for told, path in pictures:
        if total <= most:
            return
        path.unlink(missing_ok=True)
        total -= told.st_size


def _small(photograph: Photograph, longest: int, matte: tuple[int, int, int]) -> NDArray[np.uint8]:
    """Return a photograph at most `longest` px; a work in it that is squared up at that size, not the photograph."""
    if photograph.corners is None:
        return small_rgb(photograph, longest, matte)
    work, taken = photograph.size, photograph.photograph_size
    around = math.ceil(longest * max(taken.width, taken.height) / max(work.width, work.height))
    return squared_up_small(small_rgb(as_taken(photograph), around, matte), photograph, longest)


def _mark(*parts: object) -> str:
    return hashlib.sha256(json.dumps([_MAKING, *parts]).encode()).hexdigest()[:40]


def _jpeg(picture: NDArray[np.uint8]) -> bytes:
    how = [cv2.IMWRITE_JPEG_QUALITY, _QUALITY]
    how += [cv2.IMWRITE_JPEG_SAMPLING_FACTOR, cv2.IMWRITE_JPEG_SAMPLING_FACTOR_444]
    done, jpeg = cv2.imencode(".jpg", picture[:, :, ::-1], how)
    if not done:
        raise ValueError(f"a picture of {picture.shape[1]}x{picture.shape[0]} px cannot be made a JPEG")
    return jpeg.tobytes()


def _reduced(picture: NDArray[np.uint8], width: int) -> NDArray[np.uint8]:
    if width >= picture.shape[1]:
        return picture
    height = max(1, round(picture.shape[0] * width / picture.shape[1]))
    return np.asarray(cv2.resize(picture, (width, height), interpolation=cv2.INTER_AREA), np.uint8)


def _read(path: Path | None) -> bytes | None:
    try:
        return path.read_bytes() or None if path else None
    except OSError:
        return None


def _keep(path: Path | None, jpeg: bytes) -> None:
    try:
        if path is not None:
            write_whole(path, jpeg)
    except OSError:  # a full disk costs the next opening some time, and nothing else
        return
