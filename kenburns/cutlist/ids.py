"""Slot ids, and the names of files that are made of them.

An id is kept as a person wrote it (in Unicode form C, its white space single spaces), whatever its script or signs. Its
files are named after it: what some system does not take in a name is written as %XX, byte by byte in UTF-8 (RFC 3986,
section 2.1), so that the id can be read back from the name. What is not taken follows Microsoft's "Naming Files, Paths,
and Namespaces" (reserved characters and device names, no dot at the end), which is narrower than POSIX, and characters
that nobody sees.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from urllib.parse import unquote

_RESERVED_CHARACTERS = frozenset('<>:"/\\|?*')
_DEVICES = frozenset(
    ["con", "prn", "aux", "nul", "conin$", "conout$"]
    + [f"{port}{digit}" for port in ("com", "lpt") for digit in "0123456789¹²³"]
)
_UNSEEN = frozenset({"Cc", "Cf", "Cn", "Co", "Zl", "Zp"})  # Unicode general categories: controls, marks of format, ...
_ESCAPE = re.compile(r"%(?=[0-9A-Fa-f]{2})")
_LONGEST = 120  # bytes of a name in UTF-8, form D, so that suffix, folder and a temporary name still fit in 255
_LONGEST_ID = 1000  # bytes; more is no name
_HASH = 16  # hexadecimal digits that tell names apart that were cut off


def check_id(text: str) -> str:
    """Return the id, in Unicode form C and on one line; raise ValueError where it can be none."""
    slot = " ".join(unicodedata.normalize("NFC", text).split())
    fault = _fault(slot)
    if fault:
        raise ValueError(f"a slot's id names its files, so {fault}; letters, digits, '-' and '_' always work")
    return slot


def file_stem(slot: str) -> str:
    """Return the name, without its suffix, that an id's files have on every system; no two ids share one.

    One longer than 120 bytes is cut off and ends in "~" and 16 digits of its hash; plan and manifest say whose it is.
    """
    name = _plain(slot)
    if _size(name) <= _LONGEST:
        return name
    kept = name[: _LONGEST - _HASH - 1]
    while _size(kept) > _LONGEST - _HASH - 1:
        kept = kept[:-1]
    digest = hashlib.sha256(slot.encode()).hexdigest()[:_HASH]
    return f"{re.sub(r'%[0-9A-F]?$', '', kept).rstrip(' .')}~{digest}"


def is_file_stem(name: str) -> bool:
    """Whether a name is an id, and its files have it as it stands."""
    try:
        return check_id(name) == name == file_stem(name)
    except ValueError:
        return False


def id_of(stem: str) -> str:
    """Return the id of a name that `file_stem` gave and did not cut off."""
    return unquote(stem, errors="strict")


def id_key(slot: str) -> str:
    """Return what two ids share when some system would put them in one file: case and Unicode form are dropped."""
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", slot).casefold())


def numbered_id(row: int, rows: int) -> str:
    """Return the id of a row that has none: its number from 1, in at least two digits and as many as the last."""
    return f"{row:0{max(2, len(str(rows)))}d}"


def _fault(slot: str) -> str:
    unseen = next((c for c in slot if unicodedata.category(c) in {"Cc", "Cs"}), "")
    size = len(slot.encode(errors="replace"))
    if not slot:
        return "it cannot be empty"
    if unseen:
        return f"it cannot hold the unseen character U+{ord(unseen):04X}"
    return f"it cannot be {size} bytes long (at most {_LONGEST_ID})" if size > _LONGEST_ID else ""


def _plain(slot: str) -> str:
    name = "".join(_escaped(c) if c in _RESERVED_CHARACTERS or _is_unseen(c) else c for c in _ESCAPE.sub("%25", slot))
    if name.startswith(".") or name.partition(".")[0].strip().casefold() in _DEVICES:
        name = _escaped(name[0]) + name[1:]
    return name[:-1] + _escaped(".") if name.endswith(".") else name


def _is_unseen(character: str) -> bool:
    return unicodedata.category(character) in _UNSEEN


def _escaped(text: str) -> str:
    return "".join(f"%{byte:02X}" for byte in text.encode())


def _size(name: str) -> int:
    return len(unicodedata.normalize("NFD", name).encode())
