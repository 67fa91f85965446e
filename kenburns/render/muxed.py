"""A film file that is being written: streams encoded and put together, every fault told with the file and the frame."""

from __future__ import annotations

from abc import ABC, abstractmethod
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import av
from av.audio.stream import AudioStream
from av.container import OutputContainer
from av.packet import Packet
from av.video.stream import VideoStream

from ..errors import RenderError


class MuxedFile(ABC):
    """Base of what writes such a file; it is complete when the context ends without an error."""

    _path: Path
    _output: OutputContainer
    _written: int
    """Frames of the picture so far."""

    @abstractmethod
    def flush(self) -> None:
        """Write what the encoders still hold back."""

    def encoded(self, stream: VideoStream | AudioStream, frame: Any) -> list[Packet[Any]]:
        """Return the packets that a frame sets free; None for a frame ends the stream. RenderError as said above."""
        try:
            return list(stream.encode(frame))
        except (av.FFmpegError, OSError) as error:
            raise self._error(error) from error

    def mux(self, packets: list[Packet[Any]]) -> None:
        """Put packets into the file. RenderError where the disk refuses them."""
        try:
            self._output.mux(packets)
        except (av.FFmpegError, OSError) as error:
            raise self._error(error) from error

    def _error(self, error: Exception) -> RenderError:
        return RenderError(f"'{self._path.name}' could not be written at frame {self._written}: {error}")

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        try:
            if error is None:
                self.flush()
        finally:
            self._output.close()
