"""Photographs opened in processes of their own: a decoder that crashes, hangs or swells costs its own file alone."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from typing import Concatenate, ParamSpec, TypeVar

import cv2
import numpy as np
from PIL.ImageCms import ImageCmsProfile, createProfile

from ..apart import MEMORY, Apart, LostError, TooLongError
from ..errors import PhotographError
from .convert import to_srgb
from .detail.estimate import real_detail
from .interest.faces import find_faces
from .interest.saliency import saliency
from .interest.writing import find_writing
from .open import Photograph, inspect
from .outline.artwork import find_work

SECONDS = 10.0
"""The processor's time for one file, to which comes what a large file needs."""

_SECONDS_A_BYTE = 0.5e-6  # decoding and looking take less than a tenth of that where nothing else is at work

SIDE_BY_SIDE = min(os.cpu_count() or 1, 4)
"""Photographs opened at once."""

P = ParamSpec("P")
R = TypeVar("R")
T = TypeVar("T")


def opened_apart(
    function: Callable[Concatenate[Photograph, P], T], photograph: Photograph, *args: P.args, **kwargs: P.kwargs
) -> T:
    """Return what `function` says of a photograph, in a process of its own; see `kenburns.apart`.

    Raises PhotographError where the process ends, or takes longer than `SECONDS` and what the file's size allows.
    """
    with _told_of(photograph.name):
        return _APART.call(_seconds(photograph.path), function, photograph, *args, **kwargs)


def inspect_apart(path: Path, name: str) -> Photograph:
    """Return the facts about a photograph as `inspect` does, its header read in a process of its own."""
    with _told_of(name):
        return _APART.call(_seconds(path), inspect, path, name)


def side_by_side(work: Callable[[T], R], things: Iterable[T]) -> list[R]:
    """Return what `work` makes of each thing, in order; an interrupt ends all work that goes on apart at once."""
    with ThreadPoolExecutor(SIDE_BY_SIDE, thread_name_prefix="kenburns-open") as pool:
        try:
            return list(pool.map(work, things))
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            _APART.stop()
            raise


@contextmanager
def _told_of(name: str) -> Iterator[None]:
    """Say of a lost process which photograph it was at."""
    again = "save it again from a picture editor"
    try:
        yield
    except TooLongError as error:
        raise PhotographError(f"'{name}' {error} to open; {again}") from error
    except LostError as error:
        reason = f"its decoder crashed, or needed more than {MEMORY >> 30} GB of memory"
        raise PhotographError(f"'{name}' could not be opened: {reason}; {again}") from error


def _seconds(path: Path) -> float:
    try:
        return SECONDS + path.stat().st_size * _SECONDS_A_BYTE
    except OSError:
        return SECONDS


def _ready() -> None:
    """Load models and compiled code: that is not any file's time."""
    cv2.setNumThreads(1)  # photographs are looked at side by side
    picture = np.full((256, 384, 3), 200, np.uint8)
    cv2.rectangle(picture, (40, 30), (340, 180), (90, 60, 40), -1)
    cv2.putText(picture, "MINIMUM 1984", (60, 230), cv2.FONT_HERSHEY_SIMPLEX, 1.0, (20, 20, 20), 2)
    find_work(picture)
    saliency(picture, faces=find_faces(picture))
    find_writing(picture)
    real_detail([picture])
    profile = ImageCmsProfile(createProfile("sRGB")).tobytes()
    for values in (picture, picture.astype(np.uint16)):
        to_srgb(values, profile, "relative")


_APART = Apart(_ready)
