"""Slot ids: a clip is named after its slot, so an id must be a safe file name on every system.

An id is never rewritten to make it safe, for then two slots could end in one file and an edit would no longer find
its clip: it is kept as it stands (in Unicode form C, trimmed) or refused. What is refused follows Microsoft's "Naming
Files, Paths, and Namespaces" (reserved characters and device names, no dot at the end), which is narrower than
POSIX, and leaves out characters nobody sees.
"""

from __future__ import annotations

import unicodedata

_RESERVED_CHARACTERS = frozenset('<>:"/\\|?*')
_DEVICES = frozenset(
    ["con", "prn", "aux", "nul", "conin$", "conout$"]
    + [f"{port}{digit}" for port in ("com", "lpt") for digit in "0123456789¹²³"]
)
_UNSEEN = frozenset({"Cc", "Cf", "Cs", "Cn", "Zl", "Zp"})  # Unicode general categories: controls, marks of format, ...
_LONGEST = 120  # bytes of UTF-8 in form D, so that suffix, folder and a temporary name still fit in 255


def check_id(text: str) -> str:
    """Return the id, trimmed and in Unicode form C; raise ValueError where it is no safe file name."""
    slot = unicodedata.normalize("NFC", text.strip())
    fault = _fault(slot)
    if fault:
        raise ValueError(f"a slot's id names its files, so {fault}; letters, digits, '-' and '_' always work")
    return slot


def id_key(slot: str) -> str:
    """Return what two ids share when some system would put them in one file: case and Unicode form are dropped."""
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", slot).casefold())


def numbered_id(row: int, rows: int) -> str:
    """Return the id of a row that has none: its number from 1, in at least two digits and as many as the last."""
    return f"{row:0{max(2, len(str(rows)))}d}"


def _fault(slot: str) -> str:
    unseen = next((c for c in slot if unicodedata.category(c) in _UNSEEN), "")
    reserved = next((c for c in slot if c in _RESERVED_CHARACTERS), "")
    if not slot:
        return "it cannot be empty"
    if unseen:
        return f"it cannot hold the unseen character U+{ord(unseen):04X}"
    if reserved:
        return f"it cannot hold {reserved}"
    return _fault_of_shape(slot)


def _fault_of_shape(slot: str) -> str:
    if slot.startswith(".") or slot.endswith("."):
        return "it cannot begin or end with a dot"
    stem = slot.partition(".")[0].strip()
    if stem.casefold() in _DEVICES:
        return f"it cannot be '{stem}', which names a device on some systems"
    size = len(unicodedata.normalize("NFD", slot).encode())
    return f"it cannot be {size} bytes long (at most {_LONGEST})" if size > _LONGEST else ""
