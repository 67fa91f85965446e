"""The bytes of a text that people export, and their text, whatever they are.

UTF-8, UTF-16 and Windows-1252, which the WHATWG Encoding Standard also reads for "Latin-1".
"""

from __future__ import annotations

import codecs
from pathlib import Path

from ..errors import ListError


def read_bytes(path: Path, largest: int, what_works: str) -> bytes:
    """Return a file's bytes; ListError where it is no file, cannot be read, or has more than `largest` bytes.

    `what_works` says in the error what kind of file would be read.
    """
    try:
        if not path.is_file():
            raise ListError(f"'{path}' is no file; {what_works}")
        with path.open("rb") as file:
            data = file.read(largest + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        raise ListError(f"'{path}' cannot be read ({error}); {what_works}") from error
    if len(data) > largest:
        size = f"{largest // 1_000_000} MB"
        raise ListError(f"'{path}' is larger than {size}; {what_works}, of at most {size}")
    return data


def decoded(data: bytes, *, unmarked_utf_16: bool = False) -> str:
    """Return the text of a file, a byte-order mark left out.

    With `unmarked_utf_16`, UTF-16 without its mark is known by the zero bytes of its first characters.
    """
    for encoding in (_utf_16(data, unmarked_utf_16), "utf-8-sig", "cp1252"):
        try:
            if encoding is not None:
                return data.decode(encoding).removeprefix("\ufeff")
        except UnicodeDecodeError:
            continue
    return data.decode("latin-1")  # takes every byte, also the five that Windows-1252 leaves undefined


def _utf_16(data: bytes, unmarked: bool) -> str | None:
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    first, second = data[:1] == b"\0", data[1:2] == b"\0"
    if not unmarked or first == second:
        return None
    return "utf-16-be" if first else "utf-16-le"
