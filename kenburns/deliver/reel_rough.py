"""The exported rough cut: what it is, whether the reel can run over it, and its picture for each frame of the reel."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
from av.stream import Disposition
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from ..errors import OptionError, RenderError
from ..motion.geometry import Size
from ..motion.timebase import format_timecode, parse_timecode, rate_text
from .reel_fit import Fitter, black

# A container's rounding of a rate stays below this share; 24 and 24000/1001 are ten times as far apart.
_RATE_SLACK = Fraction(1, 10_000)


@dataclass(frozen=True, slots=True)
class Rough:
    """A rough cut, looked through: nothing has been decoded.

    `rate` in frames a second is exact; None where there is no picture, only sound. `begins` and `seconds` are the time
    of its first frame on its own clock and its length. `timecode` is that written into it, "" for none.
    """

    path: Path
    rate: Fraction | None
    begins: Fraction
    seconds: Fraction
    timecode: str
    tracks: int
    """How many sound tracks it has."""
    remarks: tuple[str, ...] = ()


def look_through(path: Path, film_rate: Fraction, *, with_picture: bool) -> Rough:
    """Return what a rough cut is for a film of this rate.

    Raises OptionError where it cannot be read or has neither picture nor sound; where its picture is wanted and there
    is none, it is turned, or its rate is neither the film's nor a whole multiple or part of it.
    """
    try:
        with av.open(str(path)) as file:
            found = _looked_through(file, path, film_rate)
    except (av.FFmpegError, OSError) as error:
        reason = error.strerror or error
        raise OptionError(f"rough cut '{path}' cannot be read: {reason}; give an exported film file") from error
    if with_picture and found.rate is None:
        raise OptionError(f"rough cut '{path.name}' has no picture, only sound; ask for black with its sound alone")
    return found


def _looked_through(file: av.container.InputContainer, path: Path, film_rate: Fraction) -> Rough:
    videos, tracks = _pictures(file), len(file.streams.audio)
    if not videos and not tracks:
        raise OptionError(f"rough cut '{path.name}' has neither picture nor sound; give an exported film file")
    code = _timecode(file)
    if not videos:
        begins, seconds, _ = _extent(file, file.streams.audio[0])
        return Rough(path, None, begins, seconds, code, tracks)
    stream = videos[0]
    rate = _exact_rate(stream, path, film_rate)
    begins, seconds, frames = _extent(file, stream)
    remarks = () if abs(frames - seconds * rate) <= 1 else (_uneven(path, frames, seconds, rate),)
    return Rough(path, rate, begins, seconds, code, tracks, remarks)


def _pictures(file: av.container.InputContainer) -> list[VideoStream]:
    # A sound file's cover is a stream of one picture that libavformat marks as attached.
    return [stream for stream in file.streams.video if Disposition.attached_pic not in stream.disposition]


def _timecode(file: av.container.InputContainer) -> str:
    carriers = (*file.streams, file)  # QuickTime has it of a track, others of the file
    tags = ((name.lower(), text) for carrier in carriers for name, text in carrier.metadata.items())
    return next((text for name, text in tags if name == "timecode" and text), "")


def _exact_rate(stream: VideoStream, path: Path, film_rate: Fraction) -> Fraction:
    said = Fraction(stream.average_rate or stream.guessed_rate or 0)
    factor = said / film_rate
    whole = Fraction(max(round(factor), 1)) if factor >= 1 or not factor else 1 / Fraction(round(1 / factor))
    if abs(factor - whole) > _RATE_SLACK * whole:
        raise OptionError(
            f"rough cut '{path.name}' runs at {_plain(said)} frames a second; the film's {_plain(film_rate)} needs "
            f"{_plain(film_rate)}, or a whole multiple or part of it such as {_plain(film_rate * 2)}: export it so"
        )
    return film_rate * whole


def _plain(rate: Fraction) -> str:
    return str(rate) if rate.denominator == 1 else f"{float(rate):.3f} ({rate_text(rate)})"


def _extent(
    file: av.container.InputContainer, stream: VideoStream | av.audio.stream.AudioStream
) -> tuple[Fraction, Fraction, int]:
    """Return when a stream begins, how long it is, and how many packets it has, all read without decoding."""
    first, end, count = None, Fraction(0), 0
    for packet in file.demux(stream):
        if packet.pts is None or packet.is_discard:
            continue
        base, count = Fraction(packet.time_base), count + 1
        first = min(packet.pts * base, packet.pts * base if first is None else first)
        end = max(end, (packet.pts + (packet.duration or 0)) * base)
    if first is None or end <= first:
        raise OptionError(f"rough cut '{Path(file.name).name}' holds no frames; export it again")
    return first, end - first, count


def _uneven(path: Path, frames: int, seconds: Fraction, rate: Fraction) -> str:
    return (
        f"rough cut '{path.name}' has {frames} frames in {float(seconds):.2f} s, where {_plain(rate)} a second "
        f"would be {round(seconds * rate)}: each is shown at its own time"
    )


def first_frame_of(rough: Rough, film_rate: Fraction, *, drop: bool) -> int | None:
    """Return the film frame, counted from 00:00:00:00, that its timecode gives its first; None where it has none.

    The label is counted as the film counts, drop-frame or not. OptionError for a label that is no timecode.
    """
    if not rough.timecode:
        return None
    rate = rough.rate or film_rate
    label = rough.timecode.replace(";", ":").replace(".", ":")
    try:
        return int(parse_timecode(label, rate, drop=drop and rate == film_rate) * film_rate / rate)
    except ValueError as wrong:
        raise OptionError(
            f"rough cut '{rough.path.name}': {wrong}; give the timecode of its first frame instead"
        ) from None


class RoughPicture:
    """The rough cut's picture, fitted to the reel's frame, asked for frame after frame."""

    def __init__(self, rough: Rough, frame: Size, film_rate: Fraction) -> None:
        self._rough, self._frame, self._film_rate = rough, frame, film_rate
        # Half of the shorter frame: the picture that is on screen in the middle of the moment asked for.
        self._slack = 1 / (2 * max(film_rate, rough.rate or film_rate))
        self._aspect = Fraction(1)
        self._decoded = self._decode()
        self._now: VideoFrame | None = None
        self._next = next(self._decoded, None)
        self._fitter = Fitter(frame)
        self._fitted: VideoFrame | None = None

    def at(self, number: int, *, seen: bool = True) -> VideoFrame | None:
        """Return the picture of reel frame `number`, which never goes back; where not `seen` it is only passed by.

        The same picture comes back as the same frame. RenderError where the file cannot be read.
        """
        moment = number / self._film_rate + self._slack
        while self._next is not None and (self._now is None or self._time(self._next) <= moment):
            self._now, self._next, self._fitted = self._next, next(self._decoded, None), None
        if not seen:
            return None
        if self._fitted is None:
            self._fitted = black(self._frame) if self._now is None else self._fitter.fit(self._now, self._aspect)
        return self._fitted

    def close(self) -> None:
        """Let go of the file."""
        self._decoded.close()

    def _time(self, picture: VideoFrame) -> Fraction:
        return (picture.pts or 0) * Fraction(picture.time_base or 0) - self._rough.begins

    def _decode(self) -> Generator[VideoFrame]:
        name = self._rough.path.name
        try:
            with av.open(str(self._rough.path)) as file:
                stream = _pictures(file)[0]
                stream.thread_type = "AUTO"
                yield from self._upright(file.decode(stream), stream)
        except (av.FFmpegError, OSError) as error:
            raise RenderError(f"rough cut '{name}' cannot be read to the end: {error}; export it again") from error

    def _upright(self, pictures: Iterator[VideoFrame], stream: VideoStream) -> Iterator[VideoFrame]:
        self._aspect = Fraction(stream.sample_aspect_ratio or 1) or Fraction(1)
        for picture in pictures:
            if picture.rotation:
                raise RenderError(
                    f"rough cut '{self._rough.path.name}' is turned by {picture.rotation} degrees; export it upright"
                )
            yield picture


def length_in_frames(rough: Rough, film_rate: Fraction) -> int:
    """Return how many frames of the film the rough cut lasts, at least 1."""
    return max(round(rough.seconds * film_rate), 1)


def runs_in_words(start: int, frames: int, rate: Fraction, *, drop: bool) -> str:
    """Return first and last timecode of a stretch of film as "10:00:00:00 to 10:20:00:00"."""
    return f"{format_timecode(start, rate, drop=drop)} to {format_timecode(start + frames, rate, drop=drop)}"
