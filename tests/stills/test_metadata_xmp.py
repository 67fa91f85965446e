"""XMP in all the ways that RDF/XML (W3C 2014, §2) allows, and XML that means harm."""

from __future__ import annotations

import tracemalloc

import pytest

from kenburns.stills.credits import credits_in
from kenburns.stills.metadata.order import telling
from kenburns.stills.metadata.packets import Packets
from kenburns.stills.metadata.xmp import read_xmp


def xmp(body: str) -> bytes:
    spaces = {
        "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
        "dc": "http://purl.org/dc/elements/1.1/",
        "photoshop": "http://ns.adobe.com/photoshop/1.0/",
        "plus": "http://ns.useplus.org/ldf/xmp/1.0/",
        "xmpRights": "http://ns.adobe.com/xap/1.0/rights/",
        "xmpMM": "http://ns.adobe.com/xap/1.0/mm/",
    }
    declared = " ".join(f'xmlns:{prefix}="{space}"' for prefix, space in spaces.items())
    return f'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF {declared}>{body}</rdf:RDF></x:xmpmeta>'.encode()


@pytest.mark.parametrize(
    "body",
    [
        "<rdf:Description><dc:creator><rdf:Seq><rdf:li>Ann</rdf:li></rdf:Seq></dc:creator></rdf:Description>",
        "<rdf:Description><dc:creator>Ann</dc:creator></rdf:Description>",
        '<rdf:Description dc:creator="Ann"/>',
        "<rdf:Description><dc:creator rdf:parseType='Resource'><rdf:value>Ann</rdf:value></dc:creator>"
        "</rdf:Description>",
        "<rdf:Description><dc:creator><rdf:li>\n A<![CDATA[nn]]> </rdf:li></dc:creator></rdf:Description>",
    ],
)
def test_a_property_reads_the_same_however_rdf_writes_it(body: str) -> None:
    assert read_xmp(xmp(body)).texts == {"creator": ("Ann",)}


@pytest.mark.parametrize(
    "item",
    [
        "<rdf:li rdf:parseType='Resource'><plus:LicensorName>Ann</plus:LicensorName></rdf:li>",
        "<rdf:li><rdf:Description><plus:LicensorName>Ann</plus:LicensorName></rdf:Description></rdf:li>",
        "<rdf:li><rdf:Description plus:LicensorName='Ann'/></rdf:li>",
        "<rdf:li plus:LicensorName='Ann'/>",
    ],
)
def test_a_structure_reads_the_same_however_rdf_writes_it(item: str) -> None:
    body = f"<rdf:Description><plus:Licensor><rdf:Seq>{item}</rdf:Seq></plus:Licensor></rdf:Description>"
    assert read_xmp(xmp(body)).texts == {"licensor": ("Ann",)}


def test_a_web_statement_may_be_a_link() -> None:
    body = "<rdf:Description><xmpRights:WebStatement rdf:resource='https://example.org/'/></rdf:Description>"
    assert read_xmp(xmp(body)).texts == {"statement": ("https://example.org/",)}


def test_the_creator_of_an_ingredient_is_not_the_photographs() -> None:
    inner = "<rdf:Description><dc:creator>Another</dc:creator></rdf:Description>"
    body = (
        f"<rdf:Description><xmpMM:Pantry><rdf:Bag><rdf:li>{inner}</rdf:li></rdf:Bag></xmpMM:Pantry></rdf:Description>"
    )
    assert read_xmp(xmp(body)).texts == {}


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-8-sig"])
def test_a_document_is_read_in_any_encoding_of_the_standard(encoding: str) -> None:
    text = xmp('<rdf:Description photoshop:Credit="Ķ 海"/>').decode()
    assert read_xmp(text.encode(encoding)).texts == {"credit_line": ("Ķ 海",)}


def test_a_document_padded_with_spaces_and_zeros_is_read() -> None:
    assert not read_xmp(b"\n" + xmp('<rdf:Description dc:creator="A"/>') + b" \n" * 50 + bytes(9)).fault


def test_a_damaged_document_keeps_what_stands_before_and_says_so() -> None:
    found = read_xmp(xmp('<rdf:Description dc:creator="Ann"/><rdf:Description photoshop:Credit="B">'))
    assert found.texts == {"creator": ("Ann",), "credit_line": ("B",)}
    assert "mismatched tag" in found.fault


def _with_entity(declaration: str) -> bytes:
    body = xmp("<rdf:Description photoshop:Credit='B'><dc:creator>&a;</dc:creator></rdf:Description>")
    return f"<!DOCTYPE x [{declaration}]>".encode() + body


@pytest.mark.parametrize(
    "declaration",
    [
        '<!ENTITY a "x">',
        '<!ENTITY b "lollollol"><!ENTITY a "&b;&b;&b;&b;&b;&b;&b;&b;&b;">',
        '<!ENTITY a SYSTEM "file:///etc/hostname">',
        '<!ENTITY % p SYSTEM "file:///etc/hostname"> %p;',
    ],
)
def test_a_document_with_entities_of_its_own_is_refused_whole(declaration: str) -> None:
    found = read_xmp(_with_entity(declaration))
    assert found.texts == {}
    assert "document type" in found.fault


def test_a_document_nested_without_end_is_refused_in_little_memory() -> None:
    deep = b"<a>" * 2_000_000
    tracemalloc.start()
    found = read_xmp(deep)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert "nested" in found.fault
    assert peak < 20_000_000


def test_what_faulty_writers_put_for_nothing_says_nothing() -> None:
    assert telling(["x-default", "[None]", " . ", "--", "unknown", "Ann", "海"]) == ("Ann", "海")
    body = "<rdf:Description><dc:rights><rdf:Alt><rdf:li xml:lang='x-default'>x-default</rdf:li></rdf:Alt></dc:rights>"
    assert credits_in(Packets(xmp=xmp(body + "</rdf:Description>"))).copyright is None


def test_a_document_of_elements_without_end_keeps_what_stands_before(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kenburns.stills.metadata.xmp._MOST_ELEMENTS", 1000)
    found = read_xmp(xmp('<rdf:Description dc:creator="Ann"/>' + "<rdf:Description/>" * 1000))
    assert found.texts == {"creator": ("Ann",)}
    assert "more than 1,000 elements" in found.fault
