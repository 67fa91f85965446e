"""Slots for a folder of photographs that came without a cut list: of each the whole, then a detail."""

from __future__ import annotations

import re
import unicodedata
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from itertools import accumulate
from pathlib import PurePosixPath

from ..cutlist.ids import id_key, is_file_stem
from ..cutlist.slots import CutList, Slot

_NOT_IN_IDS = re.compile(r'[<>:"/\\|?*\x00-\x1f]+')
# Bytes of a file name, in Unicode's form D, that go into an id: the number of a namesake, "-detail" and the limit of
# 120 in ids.py leave so many.
_LONGEST = 100


def slots_without_cut_list(files: Sequence[str], detailed: Iterable[str], length: int) -> CutList:
    """Return two slots of `length` frames a file, one after another: the whole, and a move on a detail.

    `detailed`: the files that have room for a detail; the others get the whole alone.
    """
    with_detail = set(detailed)
    slots: list[Slot] = []
    for file, name in zip(files, _names(files), strict=True):
        slots.append(_slot(f"{name}-whole", len(slots) * length, length, file, "hold"))
        if file in with_detail:
            slots.append(_slot(f"{name}-detail", len(slots) * length, length, file, "detail"))
    return CutList(tuple(slots), (), {}, (), drop=False)


def _slot(name: str, start: int, length: int, file: str, shot: str) -> Slot:
    return Slot(name, start, length, PurePosixPath(file).stem, still=file, shot=shot)


def _names(files: Sequence[str]) -> list[str]:
    """Return a name for each file, all different also where case does not count."""
    taken: set[str] = set()
    names = []
    for file in files:
        name = _safe(PurePosixPath(file).stem)
        number = 1
        while id_key(name if number == 1 else f"{name}-{number}") in taken:
            number += 1
        name = name if number == 1 else f"{name}-{number}"
        taken.add(id_key(name))
        names.append(name)
    return names


def _safe(stem: str) -> str:
    name = _cut_off(_NOT_IN_IDS.sub("_", unicodedata.normalize("NFC", stem))).strip(" .")
    if is_file_stem(name):
        return name
    return "".join(c if c.isascii() and c.isalnum() else "_" for c in name) or "photograph"


def _cut_off(name: str) -> str:
    sizes = accumulate(len(unicodedata.normalize("NFD", letter).encode()) for letter in name)
    return name[: bisect_right(list(sizes), _LONGEST)]
