"""`kenburns details`: what of a photograph is the work, how much of it is real, and where to go closer."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from kenburns.errors import OptionError
from kenburns.motion.geometry import Rect, Size
from kenburns.proposals import draw, proposals
from kenburns.stills.open import inspect, open_pixels, squared_up
from kenburns.stills.squaring import squaring

Photo = Callable[..., Path]
Listing = Callable[[Path], dict[str, str]]


def on_a_wall(path: Path, corners: list[tuple[int, int]]) -> Path:
    """Save 1500×1000 px of grey wall with a patterned quadrangle on it."""
    rng = np.random.default_rng(5)
    wall = np.full((1000, 1500), 190.0) + rng.normal(0, 2, (1000, 1500))
    y, x = np.mgrid[0:1000, 0:1500]
    inside = np.ones((1000, 1500), bool)
    for (ax, ay), (bx, by) in zip(corners, corners[1:] + corners[:1], strict=True):
        inside &= (bx - ax) * (y - ay) - (by - ay) * (x - ax) >= 0
    pattern = 60 + 50 * np.sin(x / 23) * np.cos(y / 31) + rng.normal(0, 12, (1000, 1500))
    picture = np.where(inside, pattern, wall)
    Image.fromarray(np.clip(picture, 0, 255).astype(np.uint8)).convert("RGB").save(path)
    return path


WORK = [(300, 200), (1200, 200), (1200, 800), (300, 800)]


def test_a_work_on_a_wall_is_outlined(tmp_path: Path) -> None:
    on_a_wall(tmp_path / "work.png", WORK)
    row = proposals(tmp_path, frame="320x180").as_json()["photographs"][0]
    assert (row["file"], row["width"], row["height"]) == ("work.png", 1500, 1000)
    assert np.abs(np.array(row["outline"]) - WORK).max() < 12
    assert 0 < row["outline_confidence"] <= 1


def test_details_keep_to_the_work_where_that_is_sure(tmp_path: Path) -> None:
    on_a_wall(tmp_path / "work.png", WORK)
    text = f'[folders]\nphotographs = "."\n[stills."work.png"]\noutline = {json.dumps(WORK)}\n'
    (tmp_path / "film.toml").write_text(text)
    details = proposals(tmp_path, frame="320x180").as_json()["photographs"][0]["details"]
    assert details
    for detail in details:
        assert Rect(detail["x"], detail["y"], detail["width"], detail["height"]).within(Rect(300, 200, 900, 600))
        assert detail["headroom"] == pytest.approx(detail["width"] / 320, abs=1e-3)
        assert detail["headroom"] >= 1


def test_details_set_by_hand_are_listed_and_nothing_is_proposed(tmp_path: Path, photograph: Photo) -> None:
    photograph(tmp_path / "photographs" / "sea.png", 960, 640)
    text = '[film]\nframe = "320x180"\n[stills."sea.png"]\ndetails = [[10, 20, 400, 225]]\noutline = [5, 5, 900, 600]\n'
    (tmp_path / "film.toml").write_text(text)
    row = proposals(tmp_path).as_json()["photographs"][0]
    assert [(d["x"], d["y"], d["width"], d["height"], d["reason"]) for d in row["details"]] == [
        (10, 20, 400, 225, "set by hand")
    ]
    assert (row["outline"], row["outline_confidence"]) == ([[5, 5], [905, 5], [905, 605], [5, 605]], 1)
    assert (tmp_path / "film.toml").read_text() == text


def test_the_drawn_sheet_is_written_whole_and_over_nobody_elses_file(
    tmp_path: Path, photograph: Photo, listing: Listing
) -> None:
    photograph(tmp_path / "sea.png", 960, 640)
    proposed = proposals(tmp_path, frame="320x180")
    page = draw(proposed)
    assert page == tmp_path / "out" / "details.html"
    assert "sea.png" in page.read_text()
    with Image.open(tmp_path / "out" / "details.png") as sheet:
        assert sheet.width == 2400
    (tmp_path / "other").mkdir()
    photograph(tmp_path / "other" / "sea.png", 960, 640)
    (tmp_path / "other" / "out").mkdir()
    (tmp_path / "other" / "out" / "details.html").write_text("mine")
    before = listing(tmp_path / "other")
    with pytest.raises(OptionError, match="was not made by this tool"):
        draw(proposals(tmp_path / "other", frame="320x180"))
    assert listing(tmp_path / "other") == before


def tilted(size: Size) -> list[tuple[int, int]]:
    return [
        (size.width // 5, size.height // 5),
        (4 * size.width // 5, size.height // 4),
        (4 * size.width // 5, 4 * size.height // 5),
        (size.width // 5, 5 * size.height // 6),
    ]


def test_a_squared_up_work_is_a_photograph_of_its_own_and_holds_no_more_pixels(tmp_path: Path) -> None:
    corners = tilted(Size(1500, 1000))
    on_a_wall(tmp_path / "tilted.png", corners)
    (tmp_path / "film.toml").write_text(
        f'[film]\nframe = "320x180"\n[folders]\nphotographs = "."\n[stills."tilted.png"]\nsquare_up = true\n'
        f"outline = {json.dumps(corners)}\n"
    )
    found = proposals(tmp_path)
    photograph = found.material.photographs["tilted.png"]
    assert photograph.size == squaring(corners).size
    assert photograph.photograph_size == Size(1500, 1000)
    assert found.material.work("tilted.png") is None
    picture = open_pixels(photograph).whole()
    assert picture.shape == (photograph.size.height, photograph.size.width, 3)
    assert border(picture).max() < 180  # no wall, which is brighter than 180 everywhere


def border(picture: NDArray[np.uint8] | NDArray[np.uint16]) -> NDArray[np.float64]:
    """Return the mean of each side's outermost rows but for the very edge, where both mix."""
    sides = (picture[2:6], picture[-6:-2], picture[:, 2:6], picture[:, -6:-2])
    return np.array([side.mean() for side in sides])


def test_strips_of_a_squared_up_work_are_parts_of_the_whole(tmp_path: Path) -> None:
    path = on_a_wall(tmp_path / "tilted.png", tilted(Size(1500, 1000)))
    a, b, c, d = ((float(x), float(y)) for x, y in tilted(Size(1500, 1000)))
    pixels = open_pixels(squared_up(inspect(path), (a, b, c, d)))
    whole = pixels.whole()
    for top, strip in pixels.strips(30, 50, 200, 120, rows=50):
        assert np.array_equal(strip, whole[top : top + len(strip), 30:230])


def test_without_sure_corners_a_work_is_not_squared_up_and_that_is_said(tmp_path: Path, photograph: Photo) -> None:
    photograph(tmp_path / "sea.png", 960, 640)
    (tmp_path / "film.toml").write_text('[folders]\nphotographs = "."\n[stills."sea.png"]\nsquare_up = true\n')
    found = proposals(tmp_path, frame="320x180")
    assert found.material.photographs["sea.png"].corners is None
    assert found.remarks == (
        "'sea.png' is not squared up: its corners were not found for sure; give them as its outline",
    )
