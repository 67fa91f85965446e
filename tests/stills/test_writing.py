"""Text is set with a packaged typeface and with OpenCV's stroke fonts, so that what stands in a picture is known."""

from __future__ import annotations

import itertools
from pathlib import Path

import cv2
import fontpkg_noto_sans
import numpy as np
import pytest
import skimage.data
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from kenburns.motion.geometry import Rect, overlap
from kenburns.stills.interest.letters import find_letters
from kenburns.stills.interest.text_lines import text_lines
from kenburns.stills.interest.writing import find_writing

FONT = str(Path(fontpkg_noto_sans.ROOT) / "files" / "NotoSans[wdth,wght].ttf")
Picture = NDArray[np.uint8]


def photograph(name: str) -> Picture:
    return np.asarray(getattr(skimage.data, name)(), np.uint8)


def enlarged(picture: Picture, scale: float) -> Picture:
    return np.asarray(cv2.resize(picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_CUBIC), np.uint8)


def canvas(seed: int = 1, level: int = 170) -> Picture:
    """A calm, slightly uneven ground, 1024x680."""
    coarse = np.random.default_rng(seed).normal(level, 12, (17, 26, 3)).astype(np.float32)
    return np.clip(cv2.resize(coarse, (1024, 680), interpolation=cv2.INTER_CUBIC), 0, 255).astype(np.uint8)


def set_text(picture: Picture, text: str, at: tuple[int, int], size: int, tone: int) -> tuple[Picture, Rect]:
    """Return the picture with a line of text, its box's top left corner at `at`, and the box."""
    font = ImageFont.truetype(FONT, size)
    image = Image.fromarray(picture)
    draw = ImageDraw.Draw(image)
    left, top, right, bottom = font.getbbox(text)
    draw.text((at[0] - left, at[1] - top), text, font=font, fill=(tone, tone, tone))
    return np.asarray(image), Rect(at[0], at[1], right - left, bottom - top)


def likeness(a: Rect, b: Rect) -> float:
    return overlap(a, b) / (a.area + b.area - overlap(a, b))


@pytest.mark.parametrize(
    ("text", "at", "size", "tone"),
    [
        ("M. Orlov 1987", (850, 620), 22, 40),
        ("Studie III", (40, 630), 26, 30),
        ("Nocturne, 1911", (400, 300), 40, 245),
        ("Осень 1924", (820, 600), 28, 60),
    ],
)
def test_a_line_on_a_calm_ground_is_found_where_it_stands(text: str, at: tuple[int, int], size: int, tone: int) -> None:
    picture, box = set_text(canvas(), text, at, size, tone)
    found = find_writing(picture)
    assert len(found) == 1
    assert likeness(found[0].rect, box) > 0.5
    assert 0.5 <= found[0].score <= 1


def test_a_line_written_with_a_pen_is_found() -> None:
    picture = canvas()
    cv2.putText(picture, "Ana Pires 64", (760, 640), cv2.FONT_HERSHEY_SCRIPT_SIMPLEX, 1.0, (50, 40, 40), 2, cv2.LINE_AA)
    (found,) = find_writing(picture)
    assert overlap(found.rect, Rect(760, 610, 200, 40)) > 0.5 * found.rect.area


def test_several_lines_are_found_apart() -> None:
    picture, first = set_text(canvas(), "Teresa Valdman", (700, 520), 24, 40)
    picture, second = set_text(picture, "fecit 1768", (700, 600), 24, 40)
    found = find_writing(picture)
    assert sorted(max(likeness(line.rect, box) > 0.5 for line in found) for box in (first, second)) == [True, True]
    assert all(overlap(a.rect, b.rect) == 0 for a, b in itertools.combinations(found, 2))


def grid() -> Picture:
    picture = canvas()
    picture[::40, :] = picture[:, ::32] = 60
    return picture


def blinds() -> Picture:
    picture = canvas()
    for x in range(300, 700, 12):
        picture[200:240, x : x + 4] = 50
    return picture


def dabs() -> Picture:
    """Brush marks of every angle and colour over the whole ground."""
    rng, picture = np.random.default_rng(3), canvas()
    for _ in range(4000):
        x, y = (int(v) for v in rng.integers(0, (1024, 680)))
        dx, dy = (int(v) for v in rng.integers(-22, 23, 2))
        colour = tuple(int(v) for v in rng.integers(20, 235, 3))
        cv2.line(picture, (x, y), (x + dx, y + dy), colour, int(rng.integers(2, 9)), cv2.LINE_AA)
    return picture


@pytest.mark.parametrize("make", [canvas, grid, blinds, dabs])
def test_what_is_no_writing_is_not_called_so(make: object) -> None:
    assert callable(make)
    assert find_writing(make()) == ()


@pytest.mark.parametrize("name", ["chelsea", "rocket", "coffee"])
def test_photographs_without_writing_have_none(name: str) -> None:
    """scikit-image's photographs; the rocket's tower and the cat's fur are lines enough."""
    picture = photograph(name)
    scale = 1024 / picture.shape[1]
    assert find_writing(enlarged(picture, scale)) == ()


def test_a_page_of_print_is_mostly_found() -> None:
    """scikit-image's page of a book: lines of text right across it."""
    page = photograph("page")
    found = find_writing(np.stack([enlarged(page, 2)] * 3, axis=-1))
    assert len(found) >= 4


def test_letters_are_measured() -> None:
    grey = np.full((60, 200), 200, np.uint8)
    for x in (40, 60, 80):  # three Ls: an upright 4 px wide and 20 px high, a foot 10 px wide and 4 px high
        grey[20:40, x : x + 4] = 50
        grey[36:40, x : x + 10] = 50
    letters = find_letters(grey, dark=True)
    boxes = zip(letters.x, letters.y, letters.width, letters.height, strict=True)
    assert list(boxes) == [(40, 20, 10, 20), (60, 20, 10, 20), (80, 20, 10, 20)]
    assert list(letters.ink) == [104] * 3  # 80 + 6 * 4
    assert list(letters.tone) == [50] * 3
    assert list(letters.contrast) == [150] * 3
    # Of the ink, 2 * 18 px of the upright and 6 * 2 of the foot have ink all around; the other 56 are the boundary.
    assert letters.stroke == pytest.approx([2 * 104 / 56] * 3)
    (line,) = text_lines(letters)
    assert line.rect == Rect(40, 20, 50, 20)


@pytest.mark.parametrize("wrong", [np.zeros((4, 4), np.uint8), np.zeros((4, 4, 3)), np.zeros((0, 4, 3), np.uint8)])
def test_another_array_is_a_caller_s_mistake(wrong: Picture) -> None:
    with pytest.raises(ValueError, match="writing is found in uint8"):
        find_writing(wrong)
