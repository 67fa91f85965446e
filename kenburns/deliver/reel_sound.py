"""The rough cut's sound, laid where its own times say, as an unbroken run of samples that starts with the reel."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.audio.frame import AudioFrame
from av.audio.resampler import AudioResampler
from av.audio.stream import AudioStream
from numpy.typing import NDArray

from ..errors import RenderError

Samples = NDArray[np.float32]
"""(channels, samples), -1 to 1."""

FORMAT = "fltp"
RATES = (48000, 44100, 32000)
"""Samples a second that are kept as they are; others become the first (of those in ISO/IEC 14496-3, players know these
best: common practice)."""

# Timestamps in whole milliseconds and a resampler's delay stay below this many seconds; a real gap does not. Places are
# absolute, so what is let pass never adds up.
_SLACK = Fraction(1, 400)
_SILENCE = 1 << 16  # samples of silence made at once


class Sound:
    """A file's first sound track, read in pieces of any length; silence where it has none."""

    def __init__(self, path: Path, begins: Fraction) -> None:
        """`begins`: the time of the film's first frame on the file's own clock, in seconds."""
        self._path, self._begins = path, begins
        with av.open(str(path)) as file:
            context = file.streams.audio[0].codec_context
            self.rate = context.sample_rate if context.sample_rate in RATES else RATES[0]
            self.channels = 1 if context.layout.nb_channels == 1 else 2
        self._pieces = self._placed()
        self._waiting: Samples = _silence(self.channels, 0)

    @property
    def layout(self) -> str:
        """The channels' arrangement by libavutil's name."""
        return "mono" if self.channels == 1 else "stereo"

    def read(self, count: int) -> Samples:
        """Return the next `count` samples. RenderError where the file cannot be read on."""
        parts, have = [self._waiting], self._waiting.shape[1]
        while have < count and (piece := next(self._pieces, None)) is not None:
            parts.append(piece)
            have += piece.shape[1]
        if have < count:
            parts.append(_silence(self.channels, count - have))
        joined = np.concatenate(parts, axis=1)
        self._waiting = joined[:, count:]
        return joined[:, :count]

    def close(self) -> None:
        """Let go of the file."""
        self._pieces.close()

    def _placed(self) -> Generator[Samples]:
        """Yield the samples one after another from the film's first frame on, gaps filled and overlaps cut."""
        done = 0
        for place, piece in self._decoded():
            gap = place - done if abs(place - done) > _SLACK * self.rate else 0
            for silent in _runs(gap):
                yield _silence(self.channels, silent)
            kept = piece[:, max(-gap, 0) :]
            done += max(gap, 0) + kept.shape[1]
            yield kept

    def _decoded(self) -> Iterator[tuple[int, Samples]]:
        """Yield decoded pieces, each with its place in samples after the film's first frame, which may be negative."""
        try:
            with av.open(str(self._path)) as file:
                yield from self._resampled(file.decode(_sound_of(file)))
        except (av.FFmpegError, OSError) as error:
            raise RenderError(f"'{self._path.name}': its sound cannot be read to the end: {error}") from error

    def _resampled(self, frames: Iterator[AudioFrame]) -> Iterator[tuple[int, Samples]]:
        resampler = AudioResampler(FORMAT, self.layout, self.rate)
        following = 0
        for frame in frames:
            place = following if frame.pts is None else self._place(frame)
            for piece in resampler.resample(frame):
                samples = np.asarray(piece.to_ndarray(), np.float32)
                yield place, samples
                place += samples.shape[1]
            following = place

    def _place(self, frame: AudioFrame) -> int:
        seconds = (frame.pts or 0) * Fraction(frame.time_base or 0)
        return round((seconds - self._begins) * self.rate)


def _sound_of(file: av.container.InputContainer) -> AudioStream:
    return file.streams.audio[0]


def _runs(samples: int) -> Iterator[int]:
    while samples > 0:
        yield min(samples, _SILENCE)
        samples -= _SILENCE


def _silence(channels: int, samples: int) -> Samples:
    return np.zeros((channels, samples), np.float32)
