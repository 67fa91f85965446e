"""PNG's chunks: eXIf, texts, and the packets that travel in texts.

Chunks, and the keywords Author and Copyright: W3C PNG third edition §11.3.3 and §11.3.4. XMP in an iTXt of the keyword
``XML:com.adobe.xmp``: ISO 16684-1 (from memory). ``Raw profile type NAME``, a packet in hexadecimal digits after its
name and length, is common practice and in no standard.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from typing import BinaryIO

from .directory import read_exif_packet
from .encoding import one_line
from .exif import EXIF_TAGS
from .packets import MAX_PACKET, Packets
from .resources import read_resources

_TEXTS = frozenset({b"tEXt", b"zTXt", b"iTXt"})
_XMP = "XML:com.adobe.xmp"
_RAW = "Raw profile type "
_KEYWORDS = frozenset({"Author", "Copyright"})
_WANTED = _KEYWORDS | {_XMP, *(_RAW + name for name in ("iptc", "8bim", "exif", "APP1", "xmp"))}
_MOST_CHUNKS = 200_000  # a picture's data may come in pieces of 8 KB


def read_png(file: BinaryIO) -> Packets:
    """Return the packets of all chunks, also those behind the picture; damage ends the search."""
    exif, texts = b"", dict[str, str]()
    for kind, body in _chunks(file):
        if kind == b"eXIf":
            exif = exif or body
        elif (keyword := body.partition(b"\0")[0].decode("latin-1")) in _WANTED and keyword not in texts:
            texts[keyword] = _text(kind, body[len(keyword) + 1 :])
    resources = _profile(texts, "iptc") or _profile(texts, "8bim")
    iim, digest = read_resources(resources.removeprefix(b"Photoshop 3.0\0"))
    bare = resources if resources.startswith(b"\x1c") else b""
    exif = exif or _profile(texts, "exif") or _profile(texts, "APP1")
    return Packets(
        read_exif_packet(exif, EXIF_TAGS),
        texts.get(_XMP, "").encode() or _profile(texts, "xmp"),
        iim or bare,
        digest,
        {keyword: one_line(texts[keyword]) for keyword in _KEYWORDS & texts.keys()},
    )


def _chunks(file: BinaryIO) -> Iterator[tuple[bytes, bytes]]:
    file.seek(8)
    for _ in range(_MOST_CHUNKS):
        head = file.read(8)
        if len(head) < 8 or head[4:] == b"IEND":
            return
        size = int.from_bytes(head[:4], "big")
        if head[4:] in _TEXTS | {b"eXIf"} and size <= MAX_PACKET:
            yield head[4:], file.read(size)
            size = 0
        file.seek(size + 4, 1)


def _text(kind: bytes, rest: bytes) -> str:
    """Return the text of a chunk from behind its keyword; tEXt and zTXt are Latin-1, iTXt is UTF-8."""
    if kind == b"tEXt":
        return rest.decode("latin-1")
    if kind == b"zTXt":
        return _unpacked(rest[1:]).decode("latin-1")
    text = rest[2:].split(b"\0", 2)[-1]  # behind language and translated keyword
    return (_unpacked(text) if rest[:1] == b"\1" else text).decode("utf-8", "replace")


def _unpacked(data: bytes) -> bytes:
    """Return the decompressed bytes, at most MAX_PACKET of them; b"" where they are damaged or would be more."""
    unpacking = zlib.decompressobj()
    try:
        text = unpacking.decompress(data, MAX_PACKET)
    except zlib.error:
        return b""
    return b"" if unpacking.unconsumed_tail else text


def _profile(texts: dict[str, str], name: str) -> bytes:
    """Return the packet in a raw profile, its Exif head taken off by who reads it; b"" where there is none."""
    found = re.fullmatch(r"\s*[^\n]+\n\s*\d+\s+([0-9A-Fa-f\s]*)", texts.get(_RAW + name, ""), re.ASCII)
    try:
        return bytes.fromhex(found[1]) if found else b""
    except ValueError:
        return b""
