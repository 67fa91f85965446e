"""A multipart body (RFC 7578) as it arrives: each file straight to the disk, nothing of it held in memory."""

from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from python_multipart.exceptions import FormParserError
from python_multipart.multipart import MultipartParser, parse_options_header

from ..errors import OptionError

if TYPE_CHECKING:
    from python_multipart.multipart import MultipartCallbacks

MOST_FILES = 2000
"""In one request."""

LARGEST_FILE = 4 << 30
"""Bytes of one file."""


@dataclass(frozen=True, slots=True)
class Upload:
    """A file that has arrived: the name that the browser gave, and where its content lies for now."""

    name: str
    path: Path


async def receive_files(content_type: str, body: AsyncIterator[bytes], folder: Path) -> tuple[Upload, ...]:
    """Write the files of a multipart body into an empty folder, numbered, and return them in their order.

    OptionError for a body that is no multipart form or breaks off, for too many files, and for one that is too large
    or has no name.
    """
    kind, options = parse_options_header(content_type)
    boundary = options.get(b"boundary")
    if kind != b"multipart/form-data" or not boundary:
        raise OptionError("files must come as multipart/form-data")
    parts = _Parts(folder)
    try:
        parser = MultipartParser(boundary, parts.callbacks())
        async for chunk in body:
            parser.write(chunk)
        parser.finalize()
    except FormParserError as wrong:
        raise OptionError(f"the files did not arrive as multipart/form-data: {wrong}") from None
    finally:
        parts.close()
    if not parts.ended:
        raise OptionError("the files broke off on their way; send them again")
    return tuple(parts.uploads)


class _Parts:
    """What the parser tells of, part by part."""

    def __init__(self, folder: Path) -> None:
        self.uploads: list[Upload] = []
        self.ended = False
        self._folder = folder
        self._file: BinaryIO | None = None
        self._size = 0
        self._header, self._value = b"", b""
        self._name: str | None = None

    def callbacks(self) -> MultipartCallbacks:
        return {
            "on_part_begin": self._begin,
            "on_header_field": self._field,
            "on_header_value": self._said,
            "on_header_end": self._header_end,
            "on_headers_finished": self._open,
            "on_part_data": self._data,
            "on_part_end": self.close,
            "on_end": self._end,
        }

    def close(self) -> None:
        if self._file is not None:
            self._file.close()
            self._file = None

    def _begin(self) -> None:
        self._header, self._value, self._name, self._size = b"", b"", None, 0

    def _field(self, data: bytes, start: int, end: int) -> None:
        self._header += data[start:end]

    def _said(self, data: bytes, start: int, end: int) -> None:
        self._value += data[start:end]

    def _header_end(self) -> None:
        if self._header.lower() == b"content-disposition":
            name = parse_options_header(self._value)[1].get(b"filename")
            self._name = None if name is None else _text(name)
        self._header, self._value = b"", b""

    def _open(self) -> None:
        if self._name is None:
            raise OptionError("each part must be a file with a name")
        if len(self.uploads) == MOST_FILES:
            raise OptionError(f"at most {MOST_FILES} files come at once; bring the others after them")
        upload = Upload(self._name, self._folder / f"{len(self.uploads):04d}")
        self.uploads.append(upload)
        self._file = upload.path.open("xb")

    def _data(self, data: bytes, start: int, end: int) -> None:
        self._size += end - start
        if self._size > LARGEST_FILE:
            raise OptionError(
                f"'{self.uploads[-1].name}' is larger than {LARGEST_FILE >> 30} GiB; put it there by hand"
            )
        if self._file is not None:
            self._file.write(data[start:end])

    def _end(self) -> None:
        self.ended = True


def _text(name: bytes) -> str:
    try:
        return name.decode()
    except UnicodeDecodeError:
        raise OptionError("a file's name must be text in UTF-8") from None
