"""Who owns a photograph, as far as the works list and the credits say, and which work a slot is about."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from .cutlist.folding import fold
from .cutlist.match import match_all
from .cutlist.slots import Slot
from .cutlist.works import Work

# What stands before the one to ask in a credit line; such lines read "artist, title, year. Owner. Photo: name" (common
# practice).
_PHOTOGRAPHER = re.compile(r"\b(?:photo(?:graph(?:s|y)?)?(?: by)?|foto(?:s|graf(?:ie|in)?)?)[ \t]*:[ \t]*(.+)", re.I)
_BY = re.compile(r"\b(?:photo(?:graph(?:s|ed)?)?|foto)[ \t]+(?:by|von)[ \t]+(.+)", re.I)
_COURTESY = re.compile(r"\bcourtesy(?: of)?[ \t]*:?[ \t]*(.+)", re.I)
_COPYRIGHT = re.compile(r"(?:©|\(c\)|\bcopyright\b)[ \t]*(?:\d{4}[ \t,]*)?(.+)", re.I)
_LONGEST = 500  # characters of a credit line that are looked into


def named_owner(work: Work | None, from_file: str, credit: str) -> str:
    """Return whom to ask: the works list's photographer, or the owner in its credit line, else what the file says.

    Else the owner in the cut list's credit line; "" where none of them names anybody.
    """
    listed = (work.photographer or owner_in(work.credit)) if work else ""
    return " ".join((listed or from_file or owner_in(credit)).split())


def owner_in(credit: str) -> str:
    """Return the one to ask in a credit line: after "Photo:", "Courtesy of" or ©, else its last sentence."""
    line = " ".join(credit[:_LONGEST].split())
    for pattern in (_PHOTOGRAPHER, _BY, _COURTESY, _COPYRIGHT):
        found = pattern.search(line)
        if found:
            return found.group(1).split("; ")[0].strip(" .")
    return re.split(r"(?<=[^\W_]{3})\. ", line)[-1].strip(" .")


def same_name(owner: str) -> str:
    """Return what two spellings of one name have in common: case, accents and spaces do not count."""
    return " ".join(fold(owner).split())


def work_name(work: Work | None) -> str:
    """Return title and year of a work, "" for none."""
    if work is None:
        return ""
    title = work.title or (f"no. {work.number}" if work.number else "")
    return f"{title}, {work.year}" if title and work.year else title


def works_on(names: Sequence[str], works: Sequence[Work]) -> dict[str, Work]:
    """Return the works that are certainly on these photographs, by file name."""
    wishes = [Slot("", 0, 1, work.title, still=work.file) for work in works]
    found = zip(works, match_all(wishes, names, works), strict=True)
    named: dict[str, Work] = {}
    for work, match in found:
        if match.file and match.certain:
            named.setdefault(match.file, work)
    return named


def works_of_slots(slots: Sequence[Slot], works: Sequence[Work]) -> dict[str, Work]:
    """Return the works that slots are surely about, by slot id.

    Slots are matched with files; so each work gets a file that exists nowhere, named by letters that mean nothing.
    """
    files = {_file_of(place): work for place, work in enumerate(works)}
    listed = [replace(work, file=file) for file, work in files.items()]
    by_either = match_all(slots, list(files), listed)
    by_wanted = match_all([replace(slot, still="") for slot in slots], list(files), listed)
    found: dict[str, Work] = {}
    for slot, *matches in zip(slots, by_either, by_wanted, strict=True):
        match = next((match for match in matches if match.file and match.certain), None)
        if match is not None and match.file is not None:
            found[slot.id] = files[match.file]
    return found


def _file_of(place: int) -> str:
    letters = "".join(chr(ord("a") + int(digit)) for digit in f"{place:06d}")
    return f"xq{letters}qx.jpg"
