"""Which file formats are photographs, told by content and not by suffix.

Signatures: JPEG ISO/IEC 10918-1 (SOI marker), PNG W3C PNG third edition §5.2, TIFF 6.0 §2 and BigTIFF, WebP RFC 9649
§2.4, HEIF ISO/IEC 23008-12 and AVIF v1.1.0 (brands of the ``ftyp`` box, ISO/IEC 14496-12 §4.3).
"""

from __future__ import annotations

HEAD_BYTES = 128
FORMATS = ("JPEG", "PNG", "TIFF", "WebP", "HEIC", "AVIF")
FORMATS_IN_WORDS = "JPEG, PNG, TIFF, WebP, HEIC or AVIF"

_SIGNATURES = (
    (b"\xff\xd8\xff", "JPEG"),
    (b"\x89PNG\r\n\x1a\n", "PNG"),
    (b"II*\x00", "TIFF"),
    (b"MM\x00*", "TIFF"),
    (b"II+\x00", "TIFF"),
    (b"MM\x00+", "TIFF"),
)
_AVIF_BRANDS = frozenset({b"avif", b"avis"})
_HEIC_BRANDS = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx"})


def sniff(head: bytes) -> str | None:
    """Return one of `FORMATS` for the first `HEAD_BYTES` bytes of a file, None for anything else."""
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "WebP"
    if head[4:8] == b"ftyp":
        return _heif_kind(_brands(head))
    return next((name for signature, name in _SIGNATURES if head.startswith(signature)), None)


def _brands(head: bytes) -> set[bytes]:
    end = min(int.from_bytes(head[:4], "big"), len(head))
    return {head[8:12]} | {head[at : at + 4] for at in range(16, end - 3, 4)}


def _heif_kind(brands: set[bytes]) -> str | None:
    if brands & _AVIF_BRANDS:
        return "AVIF"
    return "HEIC" if brands & _HEIC_BRANDS else None
