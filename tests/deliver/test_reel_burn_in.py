"""What is burned in is read back by comparing it with the same words set as one line by Pillow."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from benchmarks.reel_film import lumas, plan_of, slot, write_clips, write_film
from kenburns.cards.typeface import SEMI_BOLD, face
from kenburns.deliver.reel import make_reel
from kenburns.deliver.reel_burn_in import TEXT_SHARE, BurnIn, slot_words
from kenburns.deliver.reel_fit import black
from kenburns.motion.geometry import Size
from kenburns.motion.timebase import format_timecode
from kenburns.render.encode import planes

HD = Size(1920, 1080)
SAFE = (96, 54, 1824, 1026)  # 90 % of 1920x1080 (SMPTE ST 2046-1): left, top, right, bottom


def burned(timecode: str, name: str, size: Size = HD) -> NDArray[np.uint8]:
    frame = black(size)
    for samples in planes(frame):
        samples[:] = 90
    BurnIn(size).draw(frame, timecode, name)
    return np.array(planes(frame)[0])


def read_timecode(luma: NDArray[np.uint8], size: int) -> str:
    """Read the plate at the bottom left digit by digit: each is the one of ten drawn by Pillow that it is most like."""
    rows, columns = np.nonzero(luma < 20)
    plate = luma[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1]
    digit = 2 * math.ceil(face(size, SEMI_BOLD).getlength("0") / 2)
    separator = 2 * math.ceil(digit_half(size) / 2)
    at = (plate.shape[1] - 8 * digit - 3 * separator) // 2
    pairs = []
    for _ in range(4):
        pairs.append("".join(most_like(plate[:, at + d * digit : at + (d + 1) * digit], size) for d in range(2)))
        at += 2 * digit + separator
    return ":".join(pairs)


def digit_half(size: int) -> float:
    return face(size, SEMI_BOLD).getlength("0") / 2


def most_like(cell: NDArray[np.uint8], size: int) -> str:
    return max("0123456789", key=lambda digit: like(cell, drawn_digit(digit, size)))


@cache
def drawn_digit(digit: str, size: int) -> NDArray[np.uint8]:
    font = face(size, SEMI_BOLD)
    left, top, right, bottom = font.getbbox(digit, anchor="ls")
    mask = Image.new("L", (round(right - left), round(bottom - top)))
    ImageDraw.Draw(mask).text((-left, -top), digit, 255, font, anchor="ls")
    return np.asarray(mask)


def like(cell: NDArray[np.uint8], digit: NDArray[np.uint8]) -> float:
    """Return the best correlation of a digit with any place in its cell, the rest of the cell being empty."""
    best = -1.0
    for top in range(cell.shape[0] - digit.shape[0] + 1):
        for left in range(cell.shape[1] - digit.shape[1] + 1):
            whole = np.zeros(cell.shape)
            whole[top : top + digit.shape[0], left : left + digit.shape[1]] = digit
            best = max(best, float(np.corrcoef(whole.ravel(), cell.ravel())[0, 1]))
    return best


def inked(luma: NDArray[np.uint8]) -> tuple[int, int, int, int]:
    """Return left, top, right and bottom of what differs from the grey ground."""
    rows, columns = np.nonzero(luma != 90)
    return int(columns.min()), int(rows.min()), int(columns.max()) + 1, int(rows.max()) + 1


@pytest.mark.parametrize("frame", [Size(320, 180), HD, Size(1080, 1920), Size(64, 64), Size(3840, 2160)])
def test_nothing_leaves_the_title_safe_area(frame: Size) -> None:
    left, top, right, bottom = inked(burned("23:59:59:24", "12 · " + "a long title of a work " * 20, frame))
    assert left >= frame.width * 0.05 - 2
    assert right <= frame.width * 0.95 + 2
    assert top >= frame.height * 0.05 - 2
    assert bottom <= frame.height * 0.95 + 2


def test_timecode_and_name_stand_apart_and_a_long_name_is_cut() -> None:
    luma = burned("10:00:00:00", "12 · " + "a long title of a work " * 20)
    top = inked(luma)[1]  # a row of the plates above all text
    ground = np.flatnonzero((luma[top] == 90) & (np.arange(1920) >= SAFE[0]) & (np.arange(1920) < SAFE[2]))
    assert 20 <= len(ground) <= 200
    assert np.all(np.diff(ground) == 1)


def test_digits_that_stay_the_same_do_not_move() -> None:
    before, after = burned("10:00:00:11", ""), burned("10:00:00:14", "")
    left, _, right, _ = inked(before)
    columns = np.flatnonzero((before != after).any(axis=0))
    assert columns.min() > left + (right - left) * 0.8
    assert inked(after) == inked(before)


def test_the_plate_is_black_and_the_text_light_whatever_lies_below() -> None:
    luma = burned("10:00:00:00", "12")
    left, top, right, bottom = inked(luma)
    assert set(luma[top, [left, right - 1]]) | set(luma[bottom - 1, [left, right - 1]]) == {16}
    assert luma.max() == 235  # Rec. ITU-R BT.709-6, table 4: white


def test_every_picture_of_a_reel_carries_its_own_timecode(tmp_path: Path) -> None:
    frame, start = Size(640, 360), 90_000 - 12  # over the full hour
    plan = plan_of([slot("01", start + 5, 10, wanted="The quay")], frame=frame)
    write_clips(plan, tmp_path / "out")
    rough = write_film(tmp_path / "rough.mp4", range(24), size=frame, timecode="00:59:59:13")
    made = make_reel(plan, tmp_path / "out", rough, tmp_path / "reel.mp4", burn_in=True)
    size = max(round(TEXT_SHARE * 360), 12)
    for number, luma in enumerate(lumas(made.path)):
        plates = luma[300:]
        assert read_timecode(plates[:, :320], size) == format_timecode(start + number, plan.exact_rate)
        named = float(luma[310:342, 560:608].max()) > 200
        assert named is (5 <= number < 15)


def test_what_is_said_of_a_slot_is_its_id_and_what_is_wanted() -> None:
    assert slot_words("12", "Blue\nKitchen ") == "12 · Blue Kitchen"
    assert slot_words("12", " ") == "12"


def test_characters_that_no_typeface_has_are_named(tmp_path: Path) -> None:
    # U+10FFFF is a noncharacter (The Unicode Standard, chapter 23.7), so no typeface has it.
    plan = plan_of([slot("01", 0, 5, wanted="quay \U0010ffff")])
    write_clips(plan, tmp_path / "out")
    made = make_reel(plan, tmp_path / "out", None, tmp_path / "reel.mp4", burn_in=True)
    assert made.remarks == ("slot '01': the typeface lacks U+10FFFF; '?' is drawn instead",)
