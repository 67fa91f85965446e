from __future__ import annotations

import base64
import io
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from kenburns.deliver.sheet import RefusedFile, Sheet, SheetEntry, UnusedStill
from kenburns.deliver.sheet_page import sheet_page

# HTML Living Standard, 13.1.2: elements without an end tag; the four used here.
VOID = {"meta", "img", "br", "link"}
NASTY = "<script>alert('x')</script> & \"q\" 'a' onload=x"


class Page(HTMLParser):
    """Tags with attributes, and text; refuses tags that do not close in order."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.text: list[str] = []
        self.open: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {name: value or "" for name, value in attrs}))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] != "style":
            self.text.append(data)

    def all(self, tag: str) -> list[dict[str, str]]:
        return [attrs for name, attrs in self.tags if name == tag]

    def words(self) -> str:
        return "\n".join(self.text)


def text_of(sheet: Sheet) -> str:
    return "".join(sheet_page(sheet))


def decoded(source: str) -> Image.Image:
    head, _, body = source.partition(",")
    assert head == "data:image/jpeg;base64"
    return Image.open(io.BytesIO(base64.b64decode(body, validate=True)), formats=["JPEG"])


def test_every_tag_closes_in_order(small_sheet: Sheet) -> None:
    assert Page(text_of(small_sheet)).open == []


def test_nothing_is_fetched_and_nothing_runs(small_sheet: Sheet) -> None:
    text = text_of(small_sheet)
    page = Page(text)
    assert not {"script", "link", "iframe", "object", "embed", "base", "form"} & {tag for tag, _ in page.tags}
    for _, attributes in page.tags:
        assert not [name for name in attributes if name.startswith("on")]
        assert attributes.get("src", "data:").startswith("data:")
        assert attributes.get("href", "#").startswith("#")
        assert "srcset" not in attributes
        assert "url(" not in attributes.get("style", "")
    without_pictures = re.sub(r"data:image/jpeg;base64,[A-Za-z0-9+/=]+", "", text)
    assert not re.search(r"url\(|@import|https?:|//[a-z]", without_pictures)


def test_the_page_forbids_itself_to_load_anything(small_sheet: Sheet) -> None:
    policies = [meta["content"] for meta in Page(text_of(small_sheet)).all("meta") if "http-equiv" in meta]
    # W3C Content Security Policy Level 3: default-src 'none' covers scripts, frames, fonts and connections.
    assert policies == ["default-src 'none'; img-src data:; style-src 'unsafe-inline'"]


def test_language_encoding_title_and_viewport_are_given(small_sheet: Sheet) -> None:
    page = Page(text_of(small_sheet))
    assert page.all("html") == [{"lang": "en"}]
    assert {"charset": "utf-8"} in page.all("meta")
    assert any(meta.get("name") == "viewport" for meta in page.all("meta"))
    assert "Salt and Linen – contact sheet" in page.words()


def test_every_slot_and_every_text_is_on_the_page(small_sheet: Sheet) -> None:
    words = Page(text_of(small_sheet)).words()
    for entry in small_sheet.entries:
        texts = (entry.slot, entry.title, entry.timecode, entry.length, entry.shot, entry.still_name, entry.verdict)
        for text in (*texts, entry.remark, entry.credit, *entry.flags):
            assert text in words
    for text in ("studio.jpg", "small", "door.jpg", "notes.psd", "is not a photograph", "4 slots"):
        assert text in words


def test_names_with_markup_in_them_stay_text(small_sheet: Sheet) -> None:
    entry = SheetEntry(NASTY, NASTY, NASTY, NASTY, NASTY, NASTY, "good", NASTY, NASTY, flags=(NASTY,))
    picture = small_sheet.entries[0].picture
    entry = replace(entry, picture=picture, frames=(picture,) if picture is not None else ())
    nasty = Sheet(NASTY, NASTY, (entry,), (UnusedStill(NASTY, "good", picture),), (RefusedFile(NASTY, NASTY),))
    page = Page(text_of(nasty))
    assert page.open == []
    assert page.all("script") == []
    # film twice (title and heading), summary, link, nine texts of the entry, one unused, two refused
    assert page.words().count(NASTY) == 16
    assert all(set(image) == {"src", "width", "height", "alt"} for image in page.all("img"))


def test_pictures_come_back_with_their_size_and_colour(small_sheet: Sheet) -> None:
    still = small_sheet.entries[0].picture
    assert still is not None
    first = Page(text_of(small_sheet)).all("img")[0]
    with decoded(first["src"]) as image:
        assert image.size == (300, 200) == (int(first["width"]), int(first["height"]))
        # A flat patch through JPEG (ITU-T T.81) at high quality: at most 2 of 255 off.
        assert np.abs(np.asarray(image).astype(int) - still).max() <= 2


def test_every_picture_has_words_in_its_place(small_sheet: Sheet) -> None:
    alts = [image["alt"] for image in Page(text_of(small_sheet)).all("img")]
    assert alts[:4] == [
        "Winter Harbour, whole, 2 details numbered",
        "001, first",
        "001, middle",
        "001, last",
    ]
    assert "card of slot 003" in alts
    assert all(alts)


def test_details_are_drawn_where_they_are_and_numbered_in_order(small_sheet: Sheet) -> None:
    page = Page(text_of(small_sheet))
    outlines = [rect for rect in page.all("rect") if rect.get("class") == "over"]
    assert [(rect["x"], rect["y"], rect["width"], rect["height"]) for rect in outlines] == [
        ("10.000%", "10.000%", "30.000%", "30.000%"),
        ("50.000%", "50.000%", "40.000%", "40.000%"),
    ]
    assert re.findall(r"<text[^>]*>(\d+)</text>", text_of(small_sheet)) == ["1", "2"]


def test_slots_that_need_a_look_are_linked_from_the_top(small_sheet: Sheet) -> None:
    page = Page(text_of(small_sheet))
    targets = [link["href"] for link in page.all("a")]
    assert targets == ["#slot-2", "#slot-3", "#slot-4"]
    ids = {article["id"] for article in page.all("article")}
    assert {target[1:] for target in targets} <= ids


def test_a_sheet_where_all_is_good_calls_for_nothing(small_sheet: Sheet) -> None:
    good = Sheet("Salt and Linen", "1 slot", small_sheet.entries[:1])
    page = Page(text_of(good))
    assert page.all("nav") == []
    assert page.all("section") == []


@pytest.mark.parametrize("slot", ["sea\udce9", "北斎", "\x01"])
def test_any_name_can_be_written_as_utf_8(small_sheet: Sheet, slot: str, tmp_path: Path) -> None:
    sheet = replace(small_sheet, entries=(replace(small_sheet.entries[0], slot=slot),))
    path = tmp_path / "sheet.html"
    path.write_text(text_of(sheet), "utf-8")
    assert Page(path.read_text("utf-8")).open == []


def test_an_empty_sheet_is_a_page() -> None:
    assert Page(text_of(Sheet("", ""))).open == []


def test_the_page_comes_slot_by_slot_each_drawn_when_its_turn_comes(small_sheet: Sheet) -> None:
    drawn: list[str] = []

    def draw(entry: SheetEntry) -> SheetEntry:
        drawn.append(entry.slot)
        return entry

    shown: list[str] = []
    for piece in sheet_page(replace(small_sheet, draw=draw)):
        shown += re.findall(r"<h2>(\d+)</h2>", piece)
        assert piece.count("<article") <= 1
        assert drawn == shown
    assert shown == ["001", "002", "003", "004"]
