"""Who made and owns a photograph, by the metadata in its file, each value with the place it stands in.

Fields: IPTC Photo Metadata Standard 2023.2 (creator, credit line, copyright notice, source, and who owns, supplies and
licenses it; of the work shown, who made and owns that). What a file says is a claim and no proof.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from .decode import decoding
from .metadata.exif import artists, copyrights, split_names
from .metadata.iim import BY_LINE, COPYRIGHT_NOTICE, CREDIT, SOURCE, Dataset, IimText, digest_of, read_iim
from .metadata.order import EXIF, IIM, PNG, XMP, Said, agree, in_order, plain, rule
from .metadata.packets import Packets
from .metadata.reading import read_packets
from .metadata.xmp import read_xmp
from .open import Photograph

_IIM_WORDS = {
    BY_LINE: "IPTC By-line (2:80)",
    CREDIT: "IPTC Credit (2:110)",
    SOURCE: "IPTC Source (2:115)",
    COPYRIGHT_NOTICE: "IPTC Copyright Notice (2:116)",
}


@dataclass(frozen=True, slots=True)
class Value:
    """What is said of one thing, as one text or several (creators, owners), and where it stands in words."""

    texts: tuple[str, ...]
    where: str

    @property
    def text(self) -> str:
        """All texts as one."""
        return "; ".join(self.texts)

    def covers(self, other: Value) -> bool:
        """Whether this says all that the other says, but for case, spaces and separators."""
        return plain(other.texts) in plain(self.texts)


@dataclass(frozen=True, slots=True)
class Conflict:
    """Two places that say different things of one field (its name in words), and why one is taken."""

    field: str
    taken: Value
    other: Value
    reason: str

    def __str__(self) -> str:
        return (
            f"{self.field}: '{self.taken.text}' ({self.taken.where}) is taken, "
            f"not '{self.other.text}' ({self.other.where}): {self.reason}"
        )


@dataclass(frozen=True, slots=True)
class PhotographCredits:
    """Who must be named for a photograph, None where nothing is said.

    `creator` made the photograph, `work_creator` the work it shows. `owner` owns the photograph's copyright; `source`,
    `supplier` and `licensor` are whom it came from; `terms` and `statement` (a web address) say how it may be used.
    `faults` are metadata that could not be read.
    """

    creator: Value | None = None
    credit_line: Value | None = None
    copyright: Value | None = None
    source: Value | None = None
    owner: Value | None = None
    supplier: Value | None = None
    licensor: Value | None = None
    terms: Value | None = None
    statement: Value | None = None
    work_creator: Value | None = None
    work_copyright: Value | None = None
    work_source: Value | None = None
    conflicts: tuple[Conflict, ...] = ()
    faults: tuple[str, ...] = ()

    def values(self) -> dict[str, Value]:
        """Return what is said, by the field's name in words."""
        held = ((words, getattr(self, name)) for name, words in FIELDS.items())
        return {words: value for words, value in held if value is not None}


# The fields in the order in which they are shown, and their names in words.
FIELDS: Mapping[str, str] = {
    "creator": "creator",
    "credit_line": "credit line",
    "copyright": "copyright notice",
    "owner": "copyright owner",
    "source": "source",
    "supplier": "supplier",
    "licensor": "licensor",
    "terms": "usage terms",
    "statement": "rights statement",
    "work_creator": "maker of the work",
    "work_copyright": "copyright of the work",
    "work_source": "source of the work",
}


def read_credits(photograph: Photograph) -> PhotographCredits:
    """Return what a photograph's metadata says; PhotographError where the file can no longer be read.

    Metadata that is damaged is a fault in the result, never an error.
    """
    with decoding(photograph.name):
        packets = read_packets(photograph.path, photograph.format)
    return credits_in(packets)


def credits_in(packets: Packets) -> PhotographCredits:
    """Return what packets of metadata say."""
    iim = read_iim(packets.iim)
    xmp = read_xmp(packets.xmp)
    iim_is_newer = bool(packets.digest) and packets.digest not in digest_of(packets.iim)
    found = _Found(iim_is_newer)
    for name, said in _said(packets, xmp.texts, iim).items():
        found.take(name, said)
    return PhotographCredits(**found.values, conflicts=tuple(found.conflicts), faults=(xmp.fault,) if xmp.fault else ())


@dataclass(slots=True)
class _Found:
    iim_is_newer: bool
    values: dict[str, Value] = field(default_factory=dict)
    conflicts: list[Conflict] = field(default_factory=list)

    def take(self, name: str, said: tuple[Said, ...]) -> None:
        """Take the first in the standard's order and note those that say something else."""
        ranked = in_order(said, iim_is_newer=self.iim_is_newer)
        if not ranked:
            return
        first, *others = ranked
        value = self.values[name] = Value(first.texts, first.where)
        self.conflicts.extend(
            Conflict(FIELDS[name], value, Value(other.texts, other.where), rule(first, other))
            for other in others
            if not agree(first, other)
        )


def _said(
    packets: Packets, xmp: Mapping[str, tuple[str, ...]], iim: Mapping[Dataset, tuple[IimText, ...]]
) -> dict[str, tuple[Said, ...]]:
    def in_xmp(name: str, where: str) -> Said:
        return Said(xmp.get(name, ()), XMP, f"XMP {where}")

    def in_iim(dataset: Dataset) -> Said:
        held = tuple(text for text in iim.get(dataset, ()) if text.text)
        return Said(tuple(text.text for text in held), IIM, _IIM_WORDS[dataset], cut=any(text.full for text in held))

    return {
        "creator": (
            Said(artists(packets.tags), EXIF, "Exif Artist"),
            in_xmp("creator", "dc:creator"),
            in_iim(BY_LINE),
            in_xmp("image_creator", "plus:ImageCreatorName"),
            Said(split_names(packets.keywords.get("Author", "")), PNG, "PNG Author"),
        ),
        "credit_line": (in_xmp("credit_line", "photoshop:Credit"), in_iim(CREDIT)),
        "copyright": (
            Said(copyrights(packets.tags), EXIF, "Exif Copyright"),
            in_xmp("copyright", "dc:rights"),
            in_iim(COPYRIGHT_NOTICE),
            Said(_alone(packets.keywords.get("Copyright", "")), PNG, "PNG Copyright"),
        ),
        "source": (in_xmp("source", "photoshop:Source"), in_iim(SOURCE)),
        **_only_in_xmp(in_xmp),
    }


def _only_in_xmp(in_xmp: Callable[[str, str], Said]) -> dict[str, tuple[Said, ...]]:
    return {
        "owner": (in_xmp("owner", "plus:CopyrightOwnerName"), in_xmp("rights_owner", "xmpRights:Owner")),
        "supplier": (in_xmp("supplier", "plus:ImageSupplierName"),),
        "licensor": (in_xmp("licensor", "plus:LicensorName"),),
        "terms": (in_xmp("terms", "xmpRights:UsageTerms"),),
        "statement": (in_xmp("statement", "xmpRights:WebStatement"),),
        "work_creator": (in_xmp("work_creator", "Iptc4xmpExt:AOCreator"),),
        "work_copyright": (in_xmp("work_copyright", "Iptc4xmpExt:AOCopyrightNotice"),),
        "work_source": (in_xmp("work_source", "Iptc4xmpExt:AOSource"),),
    }


def _alone(text: str) -> tuple[str, ...]:
    return (text,) if text else ()


def with_value(known: PhotographCredits, name: str, value: Value, reason: str) -> PhotographCredits:
    """Return credits with a surer value in a field (a name in FIELDS), and with the conflict, where there is one."""
    before: Value | None = getattr(known, name)
    conflicts = known.conflicts
    if before is not None and not value.covers(before):
        conflicts = (*conflicts, Conflict(FIELDS[name], value, before, reason))
    fields: dict[str, Any] = {name: value, "conflicts": conflicts}
    return replace(known, **fields)
