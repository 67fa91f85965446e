"""XMP: the properties that say who made a photograph and who owns it.

XMP is RDF in XML (ISO 16684-1), in which one thing can be written in several ways: as elements or as attributes, lists
in rdf:Seq, rdf:Bag or rdf:Alt, structures nested in rdf:Description, rdf:li or parseType="Resource". All of them read
the same when the elements of RDF itself are left out of the way down to a text; so only such ways are kept, and the
document is never held as a tree. Properties: IPTC Photo Metadata Standard 2023.2, IPTC Core and Extension; PLUS.

A document type, and with it every entity of its own, is refused: none stands in XMP, and it is how XML does harm.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from xml.parsers import expat

from .encoding import one_line

_PREFIXES = {
    "http://purl.org/dc/elements/1.1/": "dc",
    "http://ns.adobe.com/photoshop/1.0/": "photoshop",
    "http://ns.adobe.com/xap/1.0/rights/": "xmpRights",
    "http://ns.useplus.org/ldf/xmp/1.0/": "plus",
    "http://iptc.org/std/Iptc4xmpExt/2008-02-29/": "Iptc4xmpExt",
}
_SKIPPED = frozenset({"http://www.w3.org/1999/02/22-rdf-syntax-ns#", "adobe:ns:meta/"})
_LANGUAGE = "http://www.w3.org/XML/1998/namespace lang"
_RESOURCE = "http://www.w3.org/1999/02/22-rdf-syntax-ns# resource"
_DEFAULT = "x-default"
_DEEPEST = 64
_MOST_ELEMENTS = 500_000  # an editing history of 20 MB has fewer

Way = tuple[str, ...]
"""From a property down to a text, without RDF's own elements: ("plus:Licensor", "plus:LicensorName")."""

WANTED: Mapping[str, Way] = {
    "creator": ("dc:creator",),
    "copyright": ("dc:rights",),
    "credit_line": ("photoshop:Credit",),
    "source": ("photoshop:Source",),
    "owner": ("plus:CopyrightOwner", "plus:CopyrightOwnerName"),
    "rights_owner": ("xmpRights:Owner",),
    "terms": ("xmpRights:UsageTerms",),
    "statement": ("xmpRights:WebStatement",),
    "image_creator": ("plus:ImageCreator", "plus:ImageCreatorName"),
    "supplier": ("plus:ImageSupplier", "plus:ImageSupplierName"),
    "licensor": ("plus:Licensor", "plus:LicensorName"),
    "work_creator": ("Iptc4xmpExt:ArtworkOrObject", "Iptc4xmpExt:AOCreator"),
    "work_copyright": ("Iptc4xmpExt:ArtworkOrObject", "Iptc4xmpExt:AOCopyrightNotice"),
    "work_source": ("Iptc4xmpExt:ArtworkOrObject", "Iptc4xmpExt:AOSource"),
}
_NAMES = {way: name for name, way in WANTED.items()}
_IN_LANGUAGES = frozenset({"copyright", "terms"})  # the same text in several languages, not several texts


@dataclass(frozen=True, slots=True)
class Xmp:
    """Texts by the names in WANTED, and what was wrong with the document ("" for nothing)."""

    texts: Mapping[str, tuple[str, ...]]
    fault: str = ""


def read_xmp(packet: bytes) -> Xmp:
    """Return what an XMP packet says; where it is damaged, what it says before that."""
    reading = _Reading()
    try:
        _parser(reading).Parse(_without_padding(packet), True)
    except (expat.ExpatError, ValueError, LookupError) as error:
        kept = {} if reading.refused else reading.texts()
        return Xmp(kept, f"its XMP cannot be read ({' '.join(str(error).split())})") if packet else Xmp({})
    return Xmp(reading.texts())


def _without_padding(packet: bytes) -> bytes:
    """Return the document without what a file pads it with; UTF-16 and UTF-32 are left as they are."""
    return packet if b"\0" in packet[:4] else packet.strip(b"\0 \t\r\n")


def _parser(reading: _Reading) -> expat.XMLParserType:
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.StartDoctypeDeclHandler = reading.refuse
    parser.StartElementHandler = reading.start
    parser.EndElementHandler = reading.end
    parser.CharacterDataHandler = reading.text
    return parser


@dataclass(slots=True)
class _Element:
    way: Way
    language: str
    text: list[str] = field(default_factory=list)


@dataclass(slots=True)
class _Reading:
    """The elements open now, and the texts found: (name, language, text)."""

    open: list[_Element] = field(default_factory=list)
    found: list[tuple[str, str, str]] = field(default_factory=list)
    refused: bool = False
    elements: int = 0

    def refuse(self, *_: object) -> None:
        self.refused = True
        raise ValueError("it has a document type, which XMP never has")

    def start(self, name: str, attributes: Mapping[str, str]) -> None:
        if len(self.open) >= _DEEPEST:
            raise ValueError(f"its elements are nested more than {_DEEPEST} deep")
        self.elements += 1
        if self.elements > _MOST_ELEMENTS:
            raise ValueError(f"it has more than {_MOST_ELEMENTS:,} elements")
        above = self.open[-1] if self.open else _Element((), "")
        way = above.way + _step(name)
        self.open.append(_Element(way, attributes.get(_LANGUAGE, above.language)))
        for attribute, value in attributes.items():
            self._keep(way if attribute == _RESOURCE else way + (_step(attribute) or ("",)), "", value)

    def text(self, data: str) -> None:
        if self.open and self.open[-1].way in _NAMES:
            self.open[-1].text.append(data)

    def end(self, _name: str) -> None:
        element = self.open.pop()
        self._keep(element.way, element.language, "".join(element.text))

    def _keep(self, way: Way, language: str, text: str) -> None:
        line = one_line(text) if way in _NAMES else ""
        if line:
            self.found.append((_NAMES[way], language, line))

    def texts(self) -> dict[str, tuple[str, ...]]:
        names = dict.fromkeys(name for name, _, _ in self.found)
        return {name: self._of(name) for name in names}

    def _of(self, name: str) -> tuple[str, ...]:
        held = [(language, text) for found, language, text in self.found if found == name]
        if name in _IN_LANGUAGES:
            return (next((text for language, text in held if language == _DEFAULT), held[0][1]),)
        return tuple(dict.fromkeys(text for _, text in held))


def _step(name: str) -> Way:
    """Return an element's part of the way: none for RDF's own, "" for what is unknown."""
    namespace, _, local = name.rpartition(" ")
    return () if namespace in _SKIPPED else (f"{_PREFIXES[namespace]}:{local}" if namespace in _PREFIXES else "",)
