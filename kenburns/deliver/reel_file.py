"""The reel's file: H.264 and AAC in one MP4, written picture by picture, the sound always just behind."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
from av.audio.frame import AudioFrame
from av.audio.stream import AudioStream
from av.video.frame import VideoFrame
from av.video.stream import VideoStream

from ..errors import RenderError
from ..motion.geometry import Size
from ..motion.timebase import nominal
from ..render.encode import BT709, NARROW, Encoding, repeatable
from ..render.muxed import MuxedFile
from .reel_fit import PIXEL_FORMAT
from .reel_sound import FORMAT, Sound

SUFFIX = ".mp4"
MARK = "kenburns review reel"
"""Written into the file as its comment: only files that carry it are ever replaced."""

ENCODING = Encoding("libx264", "mp4", PIXEL_FORMAT, {"preset": "veryfast", "crf": "20"})
"""For looking and sending (crf 16 to 20 is common practice); fast, for a reel is made again after every change."""

_SOUND_BITS = 192_000  # a second, stereo: speech and music without audible loss (common practice for AAC)
_KEYFRAME_SECONDS = 2  # between pictures that players can jump to


class ReelWriter(MuxedFile):
    """Writes one reel; the file is complete when the context ends without an error."""

    def __init__(
        self, path: Path, size: Size, rate: Fraction, sound: Sound | None, encoding: Encoding, tags: dict[str, str]
    ) -> None:
        """Open `path`; `tags` are the title and the timecode of the first frame. RenderError when it cannot be."""
        self._path, self._rate, self._sound = path, rate, sound
        self._written = self._sounded = 0
        options = {"fflags": "+bitexact", "movflags": "+faststart"}
        try:
            self._output = av.open(str(path), "w", format=encoding.container, options=options)
            self._picture = self._picture_stream(size, encoding)
            self._track = None if sound is None else self._sound_stream(sound)
        except (av.FFmpegError, OSError, ValueError) as error:
            raise RenderError(f"'{path.name}' cannot be written as {encoding.encoder} {size}: {error}") from error
        self._picture.metadata["timecode"] = tags["timecode"]
        self._output.metadata.update(title=tags["title"], comment=MARK)

    def _picture_stream(self, size: Size, encoding: Encoding) -> VideoStream:
        stream = self._output.add_stream(encoding.encoder, rate=self._rate, options=repeatable(encoding))
        if not isinstance(stream, VideoStream):
            raise ValueError(f"{encoding.encoder} is not a video encoder")
        stream.width, stream.height, stream.pix_fmt = size.width, size.height, encoding.pixel_format
        stream.time_base = stream.codec_context.time_base = 1 / self._rate
        context = stream.codec_context
        context.framerate, context.gop_size = self._rate, _KEYFRAME_SECONDS * nominal(self._rate)
        context.color_primaries = context.color_trc = context.colorspace = BT709
        context.color_range = NARROW
        context.open()
        return stream

    def _sound_stream(self, sound: Sound) -> AudioStream:
        stream = self._output.add_stream("aac", rate=sound.rate, layout=sound.layout)
        if not isinstance(stream, AudioStream):
            raise ValueError("aac is not a sound encoder")
        stream.bit_rate = _SOUND_BITS * sound.channels // 2
        return stream

    def write(self, frame: VideoFrame) -> None:
        """Append one picture, and the sound up to its end. RenderError when the encoder or the disk refuses it."""
        frame.pts, frame.time_base, frame.pict_type = self._written, 1 / self._rate, 0
        frame.color_primaries = frame.color_trc = frame.colorspace = BT709
        frame.color_range = NARROW
        self.mux(self.encoded(self._picture, frame))
        self._written += 1
        if self._track is not None and self._sound is not None:
            self._write_sound(self._track, self._sound)

    def _write_sound(self, track: AudioStream, sound: Sound) -> None:
        wanted = samples_until(self._written, self._rate, sound.rate) - self._sounded
        frame = AudioFrame.from_ndarray(sound.read(wanted), FORMAT, sound.layout)
        frame.sample_rate, frame.time_base, frame.pts = sound.rate, Fraction(1, sound.rate), self._sounded
        self.mux(self.encoded(track, frame))
        self._sounded += wanted

    def flush(self) -> None:
        """Write what the encoders still hold back."""
        self.mux(self.encoded(self._picture, None))
        self.mux(self.encoded(self._track, None) if self._track else [])


def samples_until(pictures: int, rate: Fraction, samples_a_second: int) -> int:
    """Return how many samples of sound there are to the end of so many pictures, within half a sample.

    Counted from the start each time: the lengths of pictures in samples are rounded, their sum is not.
    """
    return round(pictures * samples_a_second / rate)


def is_reel(path: Path) -> bool:
    """Whether a file is a reel that this tool has made."""
    try:
        with av.open(str(path)) as file:
            return file.metadata.get("comment") == MARK
    except (av.FFmpegError, OSError):
        return False
