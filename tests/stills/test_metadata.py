"""Packets laid out by hand, and damaged and hostile ones.

Layouts: TIFF 6.0 §2; ISO/IEC 10918-1 annex B; PNG third edition §5.3; IIM 4.2 §1.5 (the last from memory).
"""

from __future__ import annotations

import io
import struct
import tracemalloc
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from kenburns.errors import PhotographError
from kenburns.stills.credits import credits_in, read_credits
from kenburns.stills.metadata.directory import read_directory, read_exif_packet
from kenburns.stills.metadata.exif import EXIF_TAGS, artists, copyrights, split_names
from kenburns.stills.metadata.iim import BY_LINE, CREDIT, read_iim
from kenburns.stills.metadata.jpeg import read_jpeg
from kenburns.stills.metadata.packets import Packets
from kenburns.stills.metadata.png import read_png
from kenburns.stills.metadata.resources import read_resources
from kenburns.stills.metadata.tiff import read_tiff
from kenburns.stills.metadata.webp import read_webp
from kenburns.stills.open import inspect

ARTIST = 315
DOCUMENT = b"""<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description xmlns:dc="http://purl.org/dc/elements/1.1/" dc:creator="Ann"/></rdf:RDF>"""


def dataset(record: int, number: int, text: bytes) -> bytes:
    return bytes([0x1C, record, number]) + struct.pack(">H", len(text)) + text


def resource(number: int, data: bytes, name: bytes = b"") -> bytes:
    head = bytes([len(name)]) + name
    return b"8BIM" + struct.pack(">H", number) + head + b"\0" * (len(head) % 2) + struct.pack(">I", len(data)) + data


def segment(marker: int, body: bytes) -> bytes:
    return bytes([0xFF, marker]) + struct.pack(">H", len(body) + 2) + body


def chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


def exif(text: bytes, order: str = "<", kind: int = 2) -> bytes:
    mark = {"<": b"II*\0", ">": b"MM\0*"}[order]
    entry = struct.pack(order + "HHI", ARTIST, kind, len(text))
    value = text.ljust(4, b"\0") if len(text) <= 4 else struct.pack(order + "I", 26)
    return mark + struct.pack(order + "IH", 8, 1) + entry + value + bytes(4) + text


# Exif and TIFF


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("kind", [2, 129])  # ASCII; UTF-8 of Exif 3.0
@pytest.mark.parametrize("text", ["Bo", "Ürsa Ķ", "海辺"])
def test_a_text_is_read_in_either_byte_order_and_type_inside_and_outside_the_entry(
    order: str, kind: int, text: str
) -> None:
    packet = exif(text.encode() + b"\0", order, kind)
    assert artists(read_exif_packet(packet, EXIF_TAGS)) == (text,)
    assert artists(read_exif_packet(b"Exif\0\0" + packet, EXIF_TAGS)) == (text,)


def test_bytes_that_are_no_utf_8_are_windows_1252() -> None:
    assert artists({ARTIST: b"M\xfc\xdfig \x96 Studio\0"}) == ("Müßig – Studio",)


@pytest.mark.parametrize(
    ("value", "notices"),
    [
        (b"A\0", ("A",)),
        (b"A\0B\0", ("A", "B")),
        (b" \0B\0", ("B",)),  # Exif 2.32 §4.6.4: a space where only the editor's is given
        (b"   \0", ()),
        (b"", ()),
    ],
)
def test_a_copyright_is_the_photographers_and_the_editors(value: bytes, notices: tuple[str, ...]) -> None:
    assert copyrights({33432: value}) == notices


def test_names_are_split_at_semicolons_outside_quotation_marks() -> None:
    assert split_names('Ann ;"Bo; Co";; Cy "the eye" Lee') == ("Ann", "Bo; Co", 'Cy "the eye" Lee')
    assert split_names(" ; ") == ()
    assert split_names('"open; Bo') == ('"open', "Bo")


def test_a_directory_that_points_outside_or_is_cut_off_gives_nothing() -> None:
    packet = exif(b"Ann Lee\0")
    assert read_directory(io.BytesIO(packet), EXIF_TAGS) == {ARTIST: b"Ann Lee\0"}
    assert read_directory(io.BytesIO(packet[:-1]), EXIF_TAGS) == {}
    assert read_directory(io.BytesIO(packet[:12]), EXIF_TAGS) == {}
    huge = packet[:14] + struct.pack("<I", 2**32 - 1) + packet[18:]
    assert read_directory(io.BytesIO(huge), EXIF_TAGS) == {}
    assert read_directory(io.BytesIO(b"GIF89a"), EXIF_TAGS) == {}


def test_a_place_beyond_any_file_loses_its_own_tag_alone(tmp_path: Path) -> None:
    # BigTIFF: places are 64 bits, more than a system can seek to.
    nowhere, head = 2**64 - 1, b"II+\0" + struct.pack("<HH", 8, 0)
    far = struct.pack("<HHQQ", 33432, 2, 100, nowhere)
    near = struct.pack("<HHQ8s", ARTIST, 2, 4, b"Ann\0")
    for packet, found in (
        (head + struct.pack("<Q", nowhere), {}),
        (head + struct.pack("<QQ", 16, 2) + far + near, {ARTIST: b"Ann\0"}),
    ):
        (tmp_path / "a.tif").write_bytes(packet)
        with (tmp_path / "a.tif").open("rb") as file:
            assert read_directory(file, EXIF_TAGS) == read_directory(io.BytesIO(packet), EXIF_TAGS) == found


# IPTC-IIM


def test_datasets_are_decoded_by_the_character_set_that_is_marked() -> None:
    name = dataset(2, 80, b"\xc3\x9crsa")
    assert read_iim(dataset(1, 90, b"\x1b%G") + name)[BY_LINE][0].text == "Ürsa"
    assert read_iim(dataset(1, 90, b"\x1b.A") + name)[BY_LINE][0].text == "Ãrsa"
    assert read_iim(name)[BY_LINE][0].text == "Ürsa"


def test_an_extended_dataset_and_repeated_ones_are_read_and_damage_ends_the_reading() -> None:
    extended = bytes([0x1C, 2, 110, 0x80, 4]) + struct.pack(">I", 3) + b"Abc"
    found = read_iim(dataset(2, 80, b"Ann") + dataset(2, 80, b"Bo") + extended + b"\x1c\x02\x73\x00\x09short")
    assert [text.text for text in found[BY_LINE]] == ["Ann", "Bo"]
    assert [text.text for text in found[CREDIT]] == ["Abc"]
    assert len(found) == 2


def test_resources_with_names_and_odd_sizes_are_walked() -> None:
    data = resource(0x03ED, b"odd", b"name") + b"\0" + resource(0x0425, bytes(16)) + resource(0x0404, b"\x1c")
    assert read_resources(data) == (b"\x1c", bytes(16))
    assert read_resources(data[:20]) == (b"", b"")


# Containers


def test_image_resources_that_go_on_in_the_next_segment_are_joined() -> None:
    blocks = resource(0x03E8, bytes(70_000)) + resource(0x0404, dataset(2, 80, b"Ann"))
    parts = [blocks[:60_000], blocks[60_000:]]
    jpeg = b"\xff\xd8" + b"".join(segment(0xED, b"Photoshop 3.0\0" + part) for part in parts) + b"\xff\xda"
    assert read_iim(read_jpeg(io.BytesIO(jpeg)).iim)[BY_LINE][0].text == "Ann"


def test_fill_bytes_and_other_segments_are_passed_and_nothing_behind_the_scan_is_read() -> None:
    head = b"\xff\xd8" + segment(0xE0, b"JFIF\0") + b"\xff\xff"
    packet = segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0<x/>")
    assert read_jpeg(io.BytesIO(head + packet + b"\xff\xd9")).xmp == b"<x/>"
    assert read_jpeg(io.BytesIO(head + segment(0xDA, b"") + packet)).xmp == b""


def test_a_pngs_chunks_behind_the_picture_and_its_own_keywords_are_read(tmp_path: Path) -> None:
    path = tmp_path / "sea.png"
    Image.new("RGB", (8, 8)).save(path)
    whole = path.read_bytes()
    document = DOCUMENT
    late = chunk(b"iTXt", b"XML:com.adobe.xmp\0\1\0de\0\0" + zlib.compress(document))
    texts = chunk(b"tEXt", b"Author\0Bo M\xfcller") + chunk(b"zTXt", b"Copyright\0\0" + zlib.compress(b"\xa9 Bo"))
    path.write_bytes(whole[:-12] + late + texts + whole[-12:])
    known = read_credits(inspect(path))
    assert known.creator is not None
    assert known.copyright is not None
    assert (known.creator.text, known.creator.where) == ("Ann", "XMP dc:creator")
    assert (known.copyright.text, known.copyright.where) == ("© Bo", "PNG Copyright")
    assert [conflict.other.text for conflict in known.conflicts] == ["Bo Müller"]


def test_a_text_that_unpacks_to_more_than_a_packet_may_have_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kenburns.stills.metadata.png.MAX_PACKET", 1_000_000)
    bomb = zlib.compress(bytes(100_000_000), 9)
    png = io.BytesIO(b"\x89PNG\r\n\x1a\n" + chunk(b"zTXt", b"Author\0\0" + bomb))
    tracemalloc.start()
    found = read_png(png)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert found.keywords == {"Author": ""}
    assert peak < 5_000_000


# Anything at all


READERS: dict[str, Callable[[BinaryIO], Packets]] = {
    "jpg": read_jpeg,
    "tif": read_tiff,
    "png": read_png,
    "webp": read_webp,
}
WHOLE = {
    "jpg": b"\xff\xd8"
    + segment(0xE1, b"Exif\0\0" + exif(b"Ann Lee\0"))
    + segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0" + DOCUMENT)
    + segment(0xED, b"Photoshop 3.0\0" + resource(0x0404, dataset(2, 80, b"Ann"))),
    "tif": exif(b"Ann Lee\0"),
    "png": b"\x89PNG\r\n\x1a\n"
    + chunk(b"eXIf", exif(b"Ann Lee\0", ">"))
    + chunk(b"zTXt", b"Raw profile type iptc\0\0" + zlib.compress(b"\niptc\n 4\n" + b"1c025000"))
    + chunk(b"iTXt", b"XML:com.adobe.xmp\0\0\0\0\0" + DOCUMENT),
    "webp": b"RIFF\0\0\0\0WEBPEXIF" + struct.pack("<I", 34) + exif(b"Ann Lee\0"),
}


@pytest.mark.parametrize("suffix", READERS)
def test_the_whole_files_that_are_damaged_below_say_something(suffix: str) -> None:
    creator = credits_in(READERS[suffix](io.BytesIO(WHOLE[suffix]))).creator
    assert creator is not None
    assert creator.text == "Ann Lee"


@pytest.mark.parametrize("suffix", READERS)
@settings(max_examples=60)
@given(st.data())
def test_damage_anywhere_is_never_an_error(suffix: str, data: st.DataObject) -> None:
    damaged = bytearray(WHOLE[suffix])
    places = data.draw(st.lists(st.integers(0, len(damaged) - 1), max_size=4))
    for place in places:
        damaged[place] = data.draw(st.integers(0, 255))
    cut = data.draw(st.integers(0, len(damaged)))
    known = credits_in(READERS[suffix](io.BytesIO(bytes(damaged[:cut]))))
    for value in known.values().values():
        assert all(text and text.isprintable() for text in value.texts)


@settings(max_examples=60)
@given(st.binary(max_size=200), st.binary(max_size=200), st.binary(max_size=60))
def test_any_bytes_are_packets(xmp_bytes: bytes, iim: bytes, tag: bytes) -> None:
    known = credits_in(Packets({ARTIST: tag, 33432: tag}, xmp_bytes, b"\x1c\x02\x50" + iim))
    assert all(value.text for value in known.values().values())


def test_a_file_that_is_gone_is_an_error_that_names_it(jpeg: Path) -> None:
    photograph = inspect(jpeg)
    jpeg.unlink()
    with pytest.raises(PhotographError, match=r"sea\.jpg"):
        read_credits(photograph)
