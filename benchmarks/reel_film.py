"""A film on paper for the reel: every picture carries a number that survives encoding, and sound has clicks.

A number is drawn as sixteen squares, the highest bit first, light for 1: read back by their means.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.stream import AudioStream
from av.video.frame import VideoFrame
from av.video.stream import VideoStream
from numpy.typing import NDArray

from kenburns.motion.geometry import Size
from kenburns.motion.timebase import rate_text
from kenburns.plan.document import Plan, PlannedFrame, PlannedSlot
from kenburns.render.encode import BT709, NARROW, planes

FRAME = Size(320, 180)
PAL = Fraction(25)
BITS = 16
SOUND = 48000
CLICK = np.hanning(64).astype(np.float32) * np.sin(np.arange(64) * 0.9).astype(np.float32)
SLOT = 1 << 9  # a clip's numbers: 512 times the slot's place from 1, and the frame of its file; up to 127 slots


def numbered(number: int, size: Size = FRAME) -> VideoFrame:
    """Return a grey frame with the number in squares over the upper half."""
    frame = VideoFrame(size.width, size.height, "yuv420p")
    luma, *chroma = planes(frame)
    luma[:] = 110
    square = size.width // BITS
    for bit in range(BITS):
        light = number >> (BITS - 1 - bit) & 1
        luma[: size.height // 2, bit * square : (bit + 1) * square] = 210 if light else 40
    for samples in chroma:
        samples[:] = 128
    return frame


def number_of(luma: NDArray[np.uint8], box: tuple[int, int, int, int] | None = None) -> int:
    """Return the number drawn in a picture, or in its box x, y, width, height; -1 where a square is neither."""
    x, y, width, height = box or (0, 0, luma.shape[1], luma.shape[0])
    square, number = width / BITS, 0
    for bit in range(BITS):
        left, right = x + round((bit + 0.3) * square), x + round((bit + 0.7) * square)
        level = float(luma[y + height // 8 : y + height * 3 // 8, left:right].mean())
        if 90 < level < 160 or level < 25:
            return -1
        number = number << 1 | (level > 125)
    return number


def write_film(
    path: Path,
    numbers: Sequence[int],
    *,
    rate: Fraction = PAL,
    size: Size = FRAME,
    clicks: Sequence[int] | None = None,
    timecode: str = "",
    sound_rate: int = SOUND,
    sound_codec: str = "aac",
    aspect: Fraction = Fraction(1),
) -> Path:
    """Write numbered pictures as H.264, and a sound track with clicks at those samples if any are given."""
    with av.open(str(path), "w") as file:
        stream = file.add_stream("libx264", rate=rate, options={"preset": "ultrafast", "crf": "20", "bf": "2"})
        assert isinstance(stream, VideoStream)
        stream.width, stream.height, stream.pix_fmt = size.width, size.height, "yuv420p"
        context = stream.codec_context
        context.color_primaries = context.color_trc = context.colorspace = BT709
        context.color_range = NARROW
        context.sample_aspect_ratio = aspect
        if timecode:
            stream.metadata["timecode"] = timecode
        track = file.add_stream(sound_codec, rate=sound_rate, layout="mono") if clicks is not None else None
        sound = clicking(clicks or (), round(len(numbers) * sound_rate / rate))
        at = 0
        for place, number in enumerate(numbers):
            frame = numbered(number, size)
            frame.pts, frame.time_base = place, 1 / rate
            file.mux(stream.encode(frame))
            if isinstance(track, AudioStream):
                end = round((place + 1) * sound_rate / rate)
                file.mux(track.encode(_sound_frame(sound[at:end], at, sound_rate)))
                at = end
        for each in filter(None, (stream, track)):
            file.mux(each.encode(None))  # type: ignore[attr-defined]  # both kinds of stream encode; their base class does not say so
    return path


def clicking(clicks: Sequence[int], samples: int) -> NDArray[np.float32]:
    """Return silence with a click from each of these samples on."""
    sound = np.zeros(samples, np.float32)
    for click in clicks:
        part = sound[click : click + len(CLICK)]
        part += CLICK[: len(part)]
    return sound


def _sound_frame(samples: NDArray[np.float32], at: int, rate: int) -> AudioFrame:
    frame = AudioFrame.from_ndarray(samples[None], "fltp", "mono")
    frame.sample_rate, frame.time_base, frame.pts = rate, Fraction(1, rate), at
    return frame


def numbers_in(path: Path, box: tuple[int, int, int, int] | None = None) -> list[int]:
    """Return the number of every picture of a film."""
    return [number_of(luma, box) for luma in lumas(path)]


def lumas(path: Path) -> Iterator[NDArray[np.uint8]]:
    """Yield the luma of every picture."""
    with av.open(str(path)) as file:
        for frame in file.decode(video=0):
            yield np.array(planes(frame)[0])


def sound_of(path: Path) -> NDArray[np.float32]:
    """Return the first channel, each piece at the place its own time says, from the time zero of the film on."""
    pieces: list[tuple[int, NDArray[np.float32]]] = []
    with av.open(str(path)) as file:
        for frame in file.decode(audio=0):
            assert frame.pts is not None
            place = round(frame.pts * Fraction(frame.time_base or 0) * frame.sample_rate)
            pieces.append((place, np.asarray(frame.to_ndarray()[0], np.float32)))
    sound = np.zeros(max(place + len(piece) for place, piece in pieces), np.float32)
    for place, piece in pieces:
        before = max(-place, 0)  # what comes before time zero is not heard
        sound[place + before : place + len(piece)] = piece[before:]
    return sound


def click_offset(sound: NDArray[np.float32], click: int, reach: int = 6000) -> int:
    """Return how many samples late a click is, by the peak of the cross-correlation with it, within `reach`."""
    first = max(click - reach, 0)
    around = sound[first : click + reach + len(CLICK)]
    return int(np.argmax(np.correlate(around, CLICK, "valid"))) + first - click


def slot(name: str, start: int, frames: int, **more: object) -> PlannedSlot:
    """Return a slot on paper, a clip unless `kind` says otherwise."""
    facts = {"slot": name, "file": f"{name}.mp4", "kind": "clip", "start": start, "frames": frames, "wanted": ""}
    return PlannedSlot.model_validate(facts | more)


def plan_of(
    slots: Sequence[PlannedSlot], rate: Fraction = PAL, *, frame: Size = FRAME, handles: int = 0, drop: bool = False
) -> Plan:
    """Return a plan of these slots."""
    return Plan(
        title="Salt and Linen",
        frame=PlannedFrame(width=frame.width, height=frame.height),
        rate=rate_text(rate),
        drop=drop,
        codec="review",
        card_look="plain",
        matte="#161616",
        kernel="crisp",
        handles=handles,
        slots=tuple(slots),
    )


def write_clips(plan: Plan, out: Path) -> None:
    """Write every slot's file: frames numbered by slot and place, handles too."""
    out.mkdir(exist_ok=True)
    for place, each in enumerate(plan.slots, start=1):
        numbers = [place * SLOT + frame for frame in range(each.frames + 2 * plan.handles)]
        write_film(out / each.file, numbers, rate=plan.exact_rate, size=plan.frame.size)


def expected(plan: Plan, rough: Sequence[int], start: int) -> list[int]:
    """Return the numbers that a reel over a rough cut shows, for slots that do not overlap."""
    shown = list(rough)
    for place, each in enumerate(plan.slots, start=1):
        for frame in range(each.frames):
            if 0 <= (at := each.start - start + frame) < len(shown):
                shown[at] = place * SLOT + plan.handles + frame
    return shown


def write_sound(path: Path, clicks: Sequence[int], samples: int) -> Path:
    """Write a sound file of 16-bit samples, 48 000 a second."""
    with av.open(str(path), "w") as file:
        track = file.add_stream("pcm_s16le", rate=SOUND, layout="mono")
        assert isinstance(track, AudioStream)
        file.mux(track.encode(_sound_frame(clicking(clicks, samples), 0, SOUND)))
        file.mux(track.encode(None))
    return path
