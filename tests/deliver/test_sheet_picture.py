from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from kenburns.deliver.sheet import Sheet, SheetEntry
from kenburns.deliver.sheet_marks import GROUND, draw_details, draw_outline
from kenburns.deliver.sheet_picture import LEAST_WIDTH, columns_for, sheet_picture
from kenburns.deliver.sheet_tile import entry_tile

GREY = int(GROUND[1:3], 16)


def has(picture: Image.Image, colour: tuple[int, int, int], tolerance: int = 3) -> int:
    """Count the pixels of a colour."""
    return int((np.abs(np.asarray(picture).astype(int) - colour).max(axis=2) <= tolerance).sum())


def many(entry: SheetEntry, count: int) -> Sheet:
    return Sheet("Salt and Linen", "", tuple(replace(entry, slot=f"{number:03d}") for number in range(count)))


def test_the_picture_has_the_width_asked_for_and_reads_back(small_sheet: Sheet, tmp_path: Path) -> None:
    made = sheet_picture(small_sheet, 1200)
    made.save(tmp_path / "sheet.png")
    with Image.open(tmp_path / "sheet.png", formats=["PNG"]) as back:
        assert back.mode == "RGB"
        assert back.width == 1200
        assert np.array_equal(np.asarray(back), np.asarray(made))


def test_the_margin_is_bare_ground(small_sheet: Sheet) -> None:
    pixels = np.asarray(sheet_picture(small_sheet, 1200)).copy()
    pixels[40:-40, 40:-40] = GREY
    assert (pixels == GREY).all()


def test_the_still_and_all_three_frames_are_shown(small_sheet: Sheet) -> None:
    tile = entry_tile(small_sheet.entries[1], 600)
    assert has(tile, (200, 60, 40)) > 20_000
    for level in (60, 120, 180):
        assert has(tile, (level, 90, 40)) > 3_000


def test_the_card_stands_where_the_still_is_missing(small_sheet: Sheet) -> None:
    assert has(entry_tile(small_sheet.entries[2], 600), (22, 22, 22), 0) >= 160 * 90


def test_pictures_are_never_enlarged(small_sheet: Sheet) -> None:
    # The still is 300x200 and its place about 1000x580; no details are drawn over it.
    assert has(entry_tile(small_sheet.entries[1], 1400), (200, 60, 40)) == 300 * 200


@pytest.mark.parametrize("size", [(90, 160), (100, 100), (160, 90), (400, 20), (1, 1), (3, 900)])
def test_frames_and_stills_of_any_aspect_fit_their_tile(small_sheet: Sheet, size: tuple[int, int]) -> None:
    frame: NDArray[np.uint8] = np.full((size[1], size[0], 3), (0, 200, 0), np.uint8)
    tile = entry_tile(replace(small_sheet.entries[0], frames=(frame,) * 3, picture=frame), 500)
    assert tile.width == 500
    assert has(tile, (0, 200, 0), 60) > 0


def test_long_texts_make_a_tile_higher_and_not_wider(small_sheet: Sheet) -> None:
    entry = small_sheet.entries[0]
    long = replace(entry, slot="x" * 200, remark="many words " * 60, flags=("y" * 300,))
    assert entry_tile(long, 400).width == 400
    assert entry_tile(long, 400).height > entry_tile(entry, 400).height + 200


@pytest.mark.parametrize("count", [1, 12, 300])
def test_hundreds_of_slots_stay_within_bounds(small_sheet: Sheet, count: int) -> None:
    # 32,767 px is the most that some image viewers open (common practice).
    picture = sheet_picture(many(small_sheet.entries[1], count), 1600)
    assert picture.height < 12_000
    assert has(picture, (200, 60, 40)) >= count * 2_000


def test_more_slots_never_get_fewer_columns() -> None:
    columns = [columns_for(count, 2400) for count in range(1, 500, 7)]
    assert columns == sorted(columns)
    assert (columns[0], columns[-1]) == (2, 10)


@pytest.mark.parametrize("background", [0, 128, 255])
def test_detail_numbers_and_outlines_stand_out_on_any_ground(background: int) -> None:
    picture = Image.new("RGB", (300, 200), (background,) * 3)
    draw_details(picture, ((0.2, 0.2, 0.5, 0.5),), 20)
    pixels = np.asarray(picture)[:, :, 0]
    # The row through the middle of the rectangle crosses dark, light, dark on each side.
    assert pixels[100, 60] == 255
    assert pixels[100, 58] == pixels[100, 62] == 0
    # The number is light on its own dark field: both are there whatever lies below.
    field = pixels[42:66, 62:86]
    assert (field == 0).mean() > 0.4
    assert (field > 200).mean() > 0.05


def test_the_outline_of_the_work_is_dashed_from_corner_to_corner() -> None:
    picture = Image.new("RGB", (301, 201), (128, 128, 128))
    draw_outline(picture, ((0.1, 0.1), (0.9, 0.1), (0.9, 0.9), (0.1, 0.9)), 10)
    pixels = np.asarray(picture)[:, :, 0]
    top = pixels[20, 30:271]
    assert set(top.tolist()) == {0, 255}  # light dashes on a dark line
    assert (top[0], top[-1]) == (255, 255)
    assert (pixels[100, 40:260] == 128).all()


def test_details_of_the_whole_picture_stay_inside_it() -> None:
    picture = Image.new("RGB", (40, 30), (128, 128, 128))
    draw_details(picture, ((0.0, 0.0, 1.0, 1.0),), 11)
    assert picture.size == (40, 30)
    assert (np.asarray(picture)[-2, 20:38, 0] == 255).all()


def test_a_sheet_without_slots_is_still_a_picture() -> None:
    assert sheet_picture(Sheet("", ""), 800).width == 800


def test_a_width_too_small_is_refused() -> None:
    with pytest.raises(ValueError, match="at least 320 px wide, not 319"):
        sheet_picture(Sheet("", ""), LEAST_WIDTH - 1)
