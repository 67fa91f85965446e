"""A plan and its photographs on the contact sheet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from kenburns.deliver.film_sheet import SHEET, film_sheet, sheet_files
from kenburns.deliver.sheet import SheetEntry
from kenburns.deliver.sheet_file import write_sheet
from kenburns.deliver.sheet_pages import page_mark
from kenburns.motion.geometry import Rect, Size
from kenburns.motion.headroom import Headroom, headroom
from kenburns.plan.document import Plan
from kenburns.plan.material import Material
from kenburns.stills.folder import Refusal
from kenburns.stills.open import inspect

RED, BLUE, GREEN, GREY = (200, 30, 30), (30, 30, 200), (30, 160, 30), (120, 120, 120)
MATTE = (22, 22, 22)
REFUSED = (Refusal("IMG_9.jpg", "'IMG_9.jpg' is empty (0 bytes); fetch a fresh copy"),)


@pytest.fixture
def material(tmp_path: Path, photograph: Callable[..., Path]) -> Material:
    """Return a photograph of four coloured quarters, 640x360, with two details, and one that no slot uses."""
    quarters = Image.new("RGB", (640, 360))
    for colour, place in ((RED, (0, 0)), (BLUE, (320, 0)), (GREEN, (0, 180)), (GREY, (320, 180))):
        quarters.paste(Image.new("RGB", (320, 180), colour), place)
    quarters.save(tmp_path / "sea.png")
    photograph(tmp_path / "spare.png", 500, 400)
    found = {name: inspect(tmp_path / name) for name in ("sea.png", "spare.png")}
    return Material(found, {"sea.png": (Rect(320, 0, 320, 180), Rect(0, 90, 160, 90))})


@pytest.fixture
def rooms(material: Material) -> dict[str, Headroom]:
    return {name: headroom(each.size, Size(320, 180), 1.6) for name, each in material.photographs.items()}


def drawn(plan: Plan, material: Material, rooms: dict[str, Headroom]) -> list[SheetEntry]:
    return list(film_sheet(plan, material, rooms, ()).drawn())


def test_every_slot_has_its_entry_with_still_verdict_details_and_times(
    small_plan: Plan, material: Material, rooms: dict[str, Headroom]
) -> None:
    sheet = film_sheet(small_plan, material, rooms, REFUSED)
    clip, card = sheet.entries
    assert (clip.slot, clip.timecode, clip.length) == ("01", "00:00:10:00", "0.20 s · 5 frames")
    assert (clip.shot, clip.still_name, clip.verdict) == ("push in", "sea.png", "good")
    assert clip.details == ((0.5, 0.0, 0.5, 0.5), (0.0, 0.25, 0.25, 0.25))
    assert (card.slot, card.shot, card.verdict, card.card) == ("02", "card", "missing", True)
    assert card.flags == ("no photograph yet",)
    assert [(still.name, still.verdict) for still in sheet.unused] == [("spare.png", "short")]
    assert [(each.name, each.reason) for each in sheet.refused] == [("IMG_9.jpg", REFUSED[0].reason)]
    assert sheet.summary == "2 slots · 1 clip · 1 card · 1 to look at · 320x180 px · 25 frames a second"


def test_first_middle_and_last_frame_show_what_the_path_says(
    small_plan: Plan, material: Material, rooms: dict[str, Headroom]
) -> None:
    first, middle, last = drawn(small_plan, material, rooms)[0].frames
    assert first.shape == middle.shape == last.shape == (270, 480, 3)  # the frame's aspect
    # The whole: a quarter of the frame is a quarter of the picture. Later frames are centred, so the quarters stay.
    for frame in (first, middle, last):
        for row, column, colour in ((60, 100, RED), (60, 380, BLUE), (210, 100, GREEN), (210, 380, GREY)):
            np.testing.assert_allclose(frame[row, column], colour, atol=2)
        np.testing.assert_allclose(frame[60, 242:].astype(int) - BLUE, 0, atol=3)  # the edge is in the middle


def test_a_view_on_one_quarter_shows_nothing_of_the_others(
    small_plan: Plan, material: Material, rooms: dict[str, Headroom]
) -> None:
    clip = small_plan.slots[0]
    stop = replace(clip.shots[0].stops[0], x=320, y=180, width=320, height=180, leave=4)
    shot = clip.shots[0].model_copy(update={"kind": "hold", "stops": (stop,)})
    plan = small_plan.model_copy(update={"slots": (clip.model_copy(update={"shots": (shot,)}),)})
    for frame in drawn(plan, material, rooms)[0].frames:
        np.testing.assert_allclose(frame[2:-3, 2:-3].astype(int) - GREY, 0, atol=2)


def test_the_matte_fills_what_the_photograph_leaves_of_the_frame(
    small_plan: Plan, material: Material, rooms: dict[str, Headroom]
) -> None:
    clip = small_plan.slots[0]
    # A view 1280 wide around a picture 640 wide: a quarter of the frame on each side, and above and below.
    stop = replace(clip.shots[0].stops[0], x=-320, y=-180, width=1280, height=720, leave=4)
    shot = clip.shots[0].model_copy(update={"kind": "hold", "stops": (stop,)})
    plan = small_plan.model_copy(update={"slots": (clip.model_copy(update={"shots": (shot,)}),)})
    frame = drawn(plan, material, rooms)[0].frames[0]
    inside = np.any(np.abs(frame.astype(int) - MATTE) > 4, axis=2)
    rows, columns = np.flatnonzero(inside.any(axis=1)), np.flatnonzero(inside.any(axis=0))
    np.testing.assert_allclose((columns[0], columns[-1]), (120, 359), atol=1)
    np.testing.assert_allclose((rows[0], rows[-1]), (67.5, 202), atol=1.5)


def test_frames_are_those_of_the_slot_without_its_handles(
    small_plan: Plan, material: Material, rooms: dict[str, Headroom]
) -> None:
    clip = small_plan.slots[0]
    shot = clip.shots[0]
    slot = clip.model_copy(update={"frames": 1, "shots": (shot,)})
    plan = small_plan.model_copy(update={"handles": 2, "slots": (slot,)})
    frames = drawn(plan, material, rooms)[0].frames
    assert all((frame == frames[0]).all() for frame in frames)
    whole = drawn(small_plan, material, rooms)[0].frames
    assert (frames[0] == whole[1]).all()  # frame 2 of 5 is the middle


def test_a_note_for_oneself_and_the_notes_on_the_move_stand_on_the_sheet(
    small_plan: Plan, material: Material, rooms: dict[str, Headroom]
) -> None:
    clip = small_plan.slots[0]
    noted = clip.shots[0].model_copy(update={"notes": ("kept to 40 % of the move",)})
    slot = clip.model_copy(update={"note": "calm, before the laugh", "shots": (noted,)})
    entry = drawn(small_plan.model_copy(update={"slots": (slot,)}), material, rooms)[0]
    assert entry.remark == "kept to 40 % of the move · calm, before the laugh"


def test_a_slot_without_a_photograph_shows_its_card(
    small_plan: Plan, material: Material, rooms: dict[str, Headroom]
) -> None:
    entry = next(entry for entry in drawn(small_plan, material, rooms) if entry.card)
    assert entry.shown is not None
    frame = small_plan.frame
    assert entry.shown.shape[1] / entry.shown.shape[0] == pytest.approx(frame.width / frame.height, abs=0.01)
    assert entry.shown.max() > 200  # words on a dark ground
    assert np.median(entry.shown) < 40


def test_a_photograph_lost_meanwhile_leaves_its_place_empty(
    small_plan: Plan, material: Material, rooms: dict[str, Headroom]
) -> None:
    material.photographs["sea.png"].path.unlink()
    entry = drawn(small_plan, material, rooms)[0]
    assert (entry.picture, entry.frames) == (None, ())


class Headings(HTMLParser):
    """Collects the text of h2 headings, and every address that the page refers to."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.slots: list[str] = []
        self.addresses: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.addresses += [value or "" for name, value in attrs if name in ("src", "href")]
        if tag not in ("meta", "img", "br", "link", "circle", "rect", "path"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if self.open and self.open[-1] == tag:
            self.open.pop()

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] == "h2":
            self.slots.append(data)


def test_the_written_page_and_picture_are_whole_and_stand_by_themselves(
    small_plan: Plan, material: Material, rooms: dict[str, Headroom], tmp_path: Path
) -> None:
    out = tmp_path / "out"
    out.mkdir()
    write_sheet(film_sheet(small_plan, material, rooms, REFUSED), out, SHEET, ())
    assert sorted(path.name for path in out.iterdir()) == sorted(sheet_files(small_plan, rooms))
    page = Headings()
    page.feed((out / "sheet.html").read_text("utf-8"))
    page.close()
    assert page.open == []  # every element is closed
    assert page.slots[:2] == ["01", "02"]
    assert all(address.startswith(("data:", "#")) for address in page.addresses)
    with Image.open(out / "sheet.png") as picture:
        picture.load()
        assert picture.format == "PNG"


def test_the_sheets_mark_changes_with_whatever_the_sheet_shows_and_with_nothing_else(
    small_plan: Plan, material: Material, rooms: dict[str, Headroom]
) -> None:
    def mark(
        plan: Plan = small_plan,
        shown: Material = material,
        verdicts: dict[str, Headroom] = rooms,
        refused: tuple[Refusal, ...] = (),
    ) -> str:
        return page_mark(film_sheet(plan, shown, verdicts, refused))

    spare = replace(material.photographs["spare.png"], sha256="0" * 64)
    others = [
        mark(plan=small_plan.model_copy(update={"title": "Salt"})),
        mark(shown=replace(material, details={"sea.png": (Rect(0, 0, 320, 180),)})),
        mark(shown=replace(material, photographs={**material.photographs, "spare.png": spare})),
        mark(verdicts={name: headroom(room.still, room.frame, 4) for name, room in rooms.items()}),
        mark(refused=REFUSED),
    ]
    assert len({mark(), *others}) == 6
    assert mark() == mark(plan=Plan.model_validate_json(small_plan.model_dump_json()))
