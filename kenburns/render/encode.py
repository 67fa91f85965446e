"""Frames to a clip file, in process, streamed: memory does not grow with the length of the clip."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
from av.packet import Packet
from av.video.format import VideoFormat
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from ..errors import RenderError
from ..motion.geometry import Size
from ..plan.labels import Label
from .frames import Raster
from .levels import Sampling
from .muxed import MuxedFile
from .resample import Output

# Rec. ITU-T H.273, tables 2 to 4: code 1 is BT.709 for primaries, transfer and matrix; libavutil's range 1 is narrow.
BT709 = 1
NARROW = 1

# What makes encoders give the same bytes on every machine and at every run, however many processors it has. x264 uses
# as many threads as there are, and what it writes depends on that; and some of its code for newer processors gives
# another result each time (seen with AVX-512 in frames 320 px wide), which its own switch for equal results leaves out.
_REPEATABLE: Mapping[str, Mapping[str, str]] = {"libx264": {"threads": "6", "x264-params": "cpu-independent=1"}}


@dataclass(frozen=True, slots=True)
class Encoding:
    """A codec as libavcodec knows it: encoder, container and pixel format by name, and the encoder's own options."""

    encoder: str
    container: str
    pixel_format: str
    options: Mapping[str, str]


def repeatable(encoding: Encoding) -> dict[str, str]:
    """Return the options of an encoding with those by which the same frames give the same bytes everywhere."""
    return {**_REPEATABLE.get(encoding.encoder, {}), **encoding.options}


class ClipWriter(MuxedFile):
    """Writes one clip, frame by frame; the file is complete when the context ends without an error.

    ::

        with ClipWriter(path, encoding, Size(1920, 1080), Fraction(25)) as clip:
            frame = clip.blank()
            fill(planes(frame))
            clip.write(frame)
    """

    def __init__(self, path: Path, encoding: Encoding, size: Size, rate: Fraction, label: Label | None = None) -> None:
        """Open `path` for writing; RenderError when the encoder does not take this size or these options."""
        self._label = label
        self._path, self._encoding, self._size, self._rate = path, encoding, size, rate
        self._written = 0
        self._last: VideoFrame | None = None
        self._spare: deque[VideoFrame] = deque()  # written by one thread, taken by another
        self._last_packet: bytes | None = None
        # No library versions or dates in the file: the same frames give the same bytes.
        flags = {"fflags": "+bitexact"} | ({"movflags": "+faststart"} if encoding.container == "mp4" else {})
        try:
            self._output = av.open(str(path), "w", format=encoding.container, options=flags)
            self._stream = self._new_stream()
        except (av.FFmpegError, OSError, ValueError) as error:
            raise RenderError(f"'{path.name}' cannot be written as {encoding.encoder} {size}: {error}") from error

    def _new_stream(self) -> VideoStream:
        options = repeatable(self._encoding)
        stream = self._output.add_stream(self._encoding.encoder, rate=self._rate, options=options)
        if not isinstance(stream, VideoStream):
            raise ValueError(f"{self._encoding.encoder} is not a video encoder")
        if self._label is not None:
            for carrier in (stream, self._output):  # QuickTime wants them of the track, Matroska of the file
                carrier.metadata.update(timecode=self._label.timecode, reel_name=self._label.reel)
        stream.width, stream.height = self._size.width, self._size.height
        stream.pix_fmt = self._encoding.pixel_format
        stream.time_base = stream.codec_context.time_base = 1 / self._rate
        stream.codec_context.framerate = self._rate
        context = stream.codec_context
        context.color_primaries = context.color_trc = context.colorspace = BT709
        context.color_range = NARROW
        # Threads within a frame where frames stand alone: then each comes out at once, and can be written again.
        context.thread_type = "SLICE" if context.codec.intra_only else "AUTO"
        context.open()
        return stream

    def blank(self) -> VideoFrame:
        """Return a frame of the clip's size and format, its samples undefined; it is the clip's again once written.

        Written frames come back here: fresh memory for each would cost a sixth of what drawing it does. Where the
        encoder still holds one, `make_writable` gives it memory of its own.
        """
        try:
            frame = self._spare.popleft()
        except IndexError:
            return VideoFrame(self._size.width, self._size.height, self._encoding.pixel_format)
        frame.make_writable()
        return frame

    def write(self, frame: VideoFrame) -> None:
        """Append one frame. RenderError when the encoder or the disk refuses it."""
        frame.pts = self._written
        frame.time_base = 1 / self._rate
        frame.color_primaries = frame.color_trc = frame.colorspace = BT709
        frame.color_range = NARROW
        self.mux(self._packets(frame))
        if self._last is not None:
            self._spare.append(self._last)
        self._last = frame
        self._written += 1

    def repeat(self) -> None:
        """Append the last frame once more.

        Where every frame stands alone its bytes are simply written again: a hold or a card costs next to nothing.
        ValueError before the first frame; RenderError as `write`.
        """
        if self._last is None:
            raise ValueError("there is no frame yet to repeat")
        if self._last_packet is None:
            again = self.blank()
            for samples, copied in zip(planes(self._last), planes(again), strict=True):
                copied[:] = samples
            self.write(again)
            return
        packet: Packet[Any] = Packet(self._last_packet)
        packet.stream, packet.time_base = self._stream, 1 / self._rate
        packet.pts = packet.dts = self._written
        packet.duration, packet.is_keyframe = 1, True
        self.mux([packet])
        self._written += 1

    def flush(self) -> None:
        """Write what the encoder still holds back."""
        self.mux(self.encoded(self._stream, None))

    def _packets(self, frame: VideoFrame) -> list[Packet[Any]]:
        packets = self.encoded(self._stream, frame)
        alone = self._stream.codec_context.codec.intra_only and len(packets) == 1
        # Only a packet that is surely this frame's, and not one of an earlier frame that the encoder held back.
        self._last_packet = bytes(packets[0]) if alone and packets[0].pts == self._written else None
        return packets


def raster_for(pixel_format: str, frame: Size, dither: bool) -> Raster:
    """Return the raster of a planar Y'CbCr pixel format, by libavutil's name; ValueError for any other."""
    layout = VideoFormat(pixel_format)
    if layout.is_rgb or [component.plane for component in layout.components] != [0, 1, 2]:
        raise ValueError(f"clips are written in planar Y'CbCr, such as yuv422p10le, not {pixel_format}")
    across, down = 8 // layout.chroma_width(8), 8 // layout.chroma_height(8)
    return Raster(frame, Sampling(across, down), layout.components[0].bits, dither)


def planes(frame: VideoFrame) -> Sequence[Output]:
    """Return the samples of a frame as writable views (rows, columns), uint8 or uint16."""
    return [_view(frame, index) for index in range(len(frame.planes))]


def _view(frame: VideoFrame, index: int) -> Output:
    plane = frame.planes[index]
    buffer = memoryview(plane)
    if frame.format.components[index].bits > 8:
        return np.frombuffer(buffer, np.uint16).reshape(plane.height, -1)[:, : plane.width]
    return np.frombuffer(buffer, np.uint8).reshape(plane.height, -1)[:, : plane.width]
