"""The clips and cards as they lie in the out folder, frame after frame, for the review reel."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from fractions import Fraction
from itertools import islice
from pathlib import Path

import av
from av.video.frame import VideoFrame

from ..errors import RenderError
from ..motion.geometry import Size
from ..plan.document import Plan, PlannedSlot
from .reel_fit import Fitter
from .reel_spans import Span


def fault(slot: PlannedSlot, plan: Plan, out: Path) -> str | None:
    """Return why a slot's file cannot be shown; None where it can, having the plan's size, rate and length."""
    path = out / slot.file
    if not path.is_file():
        return f"slot '{slot.slot}': '{slot.file}' is not there and is not shown; make it first"
    try:
        found = _found(path)
    except (av.FFmpegError, OSError) as error:
        return f"slot '{slot.slot}': '{slot.file}' cannot be read and is not shown: {error}; make it again"
    planned = (plan.frame.size, plan.exact_rate, slot.frames + 2 * plan.handles)
    if found == planned or (found[2] == 0 and found[:2] == planned[:2]):  # Matroska does not say how many
        return None
    return (
        f"slot '{slot.slot}': '{slot.file}' has {_in_words(*found)}, the plan {_in_words(*planned)}; "
        "it is not shown: make it again"
    )


def _found(path: Path) -> tuple[Size, Fraction, int]:
    with av.open(str(path)) as file:
        if not file.streams.video:
            raise OSError("it has no picture")
        stream = file.streams.video[0]
        return Size(stream.width, stream.height), Fraction(stream.average_rate or 0), stream.frames


def _in_words(size: Size, rate: Fraction, frames: int) -> str:
    return f"{size} px, {float(rate):g} frames a second and {frames} frames"


def span_frames(span: Span, handles: int, out: Path, frame: Size) -> Generator[VideoFrame]:
    """Yield the frames of a span fitted to the reel's frame, handles and what is not seen left out.

    RenderError where the clip cannot be read or ends too early.
    """
    path, wanted = out / span.slot.file, span.end - span.first
    fitter, first, given = Fitter(frame), handles + span.skip, 0
    try:
        with av.open(str(path)) as file:
            for picture in islice(_decoded(file), first, first + wanted):
                yield fitter.fit(picture)
                given += 1
    except (av.FFmpegError, OSError) as error:
        raise RenderError(f"'{path.name}' cannot be read: {error}; make it again") from error
    if given < wanted:
        raise RenderError(f"'{path.name}' ends {wanted - given} frames too early for slot '{span.slot.slot}'")


def _decoded(file: av.container.InputContainer) -> Iterator[VideoFrame]:
    stream = file.streams.video[0]
    stream.thread_type = "AUTO"
    return file.decode(stream)
