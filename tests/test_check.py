"""The resolution check of a folder: verdicts, sizes to ask for, and centimetres on the work itself."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from kenburns.errors import OptionError, RequestError
from kenburns.resolution import Check, Verdict, check

Listing = Callable[[Path], dict[str, str]]


def still(path: Path, width: int, height: int) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    Image.new("L", (width, height), 128).save(path)
    return path


def verdict(result: Check, name: str) -> Verdict:
    return next(each for each in result.verdicts if each.photograph.name == name)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    still(tmp_path / "good.png", 4000, 3000)
    still(tmp_path / "short.png", 2000, 1500)
    still(tmp_path / "small.png", 800, 600)
    return tmp_path


def test_verdict_zoom_and_needed_size_are_exact(folder: Path) -> None:
    result = check(folder, frame="hd", zoom=1.5)
    # Hand-worked for 1920x1080: 4000/1920 = 25/12; 2000/1920 = 25/24, so 1.5 / (25/24) = 1.44 times as large;
    # 800/1920 = 5/12, so 1.5 / (5/12) = 3.6 times as large.
    rooms = {each.photograph.name: each.room for each in result.verdicts}
    assert {name: room.verdict for name, room in rooms.items()} == {
        "good.png": "good",
        "short.png": "short",
        "small.png": "small",
    }
    assert rooms["good.png"].largest_zoom == pytest.approx(25 / 12, abs=1e-12)
    assert rooms["good.png"].needed is None
    assert str(rooms["short.png"].needed) == "2880x2160"
    assert str(rooms["small.png"].needed) == "2880x2160"
    assert result.needs_attention


@pytest.mark.parametrize(("width", "expected"), [(4224, "good"), (4223, "short")])
def test_one_pixel_decides(tmp_path: Path, width: int, expected: str) -> None:
    still(tmp_path / "a.png", width, 3000)  # 1.1 x 3840 = 4224
    assert verdict(check(tmp_path, frame="uhd", zoom=1.1), "a.png").room.verdict == expected


def test_a_photograph_of_the_needed_size_is_good(tmp_path: Path) -> None:
    still(tmp_path / "a.png", 1003, 707)
    needed = verdict(check(tmp_path, frame="1000x800", zoom=1.7), "a.png").room.needed
    assert needed is not None
    still(tmp_path / "a.png", needed.width, needed.height)
    assert verdict(check(tmp_path, frame="1000x800", zoom=1.7), "a.png").room.verdict == "good"


def test_a_folder_where_all_is_good_needs_no_attention(tmp_path: Path) -> None:
    still(tmp_path / "good.png", 4000, 3000)
    assert not check(tmp_path, frame="hd").needs_attention


def test_the_smallest_detail_is_in_centimetres_where_the_works_list_has_the_works_size(folder: Path) -> None:
    (folder / "works.csv").write_text("title,height cm,width cm,file\nThe Sea,75,100,good.png\nThe Hill,,,short.png\n")
    result = check(folder, frame="hd", zoom=1)
    # 1920 of 4000 px of 100 cm, and 1080 of 3000 px of 75 cm
    assert verdict(result, "good.png").detail_cm == pytest.approx((48.0, 27.0), abs=1e-9)
    assert verdict(result, "short.png").detail_cm is None
    detail = result.as_json()["photographs"][0]["smallest_detail"]
    assert (detail["width"], detail["height"]) == (1920, 1080)
    assert (detail["width_cm"], detail["height_cm"]) == pytest.approx((48.0, 27.0))


def test_without_a_zoom_the_films_counts_and_then_the_pacings(tmp_path: Path) -> None:
    still(tmp_path / "photographs" / "a.png", 1920, 1080)
    (tmp_path / "film.toml").write_text("[film]\nzoom = 2.5\n")
    assert check(tmp_path).zoom == 2.5
    assert check(tmp_path, zoom=1).zoom == 1
    (tmp_path / "film.toml").write_text("[film]\n")
    assert check(tmp_path).zoom == 1.5  # presets/pacing/steady.toml


@pytest.mark.parametrize("zoom", [0.0, -1.0, 0.99, 100.1, float("nan"), float("inf")])
def test_a_zoom_below_one_or_no_number_is_refused(folder: Path, zoom: float) -> None:
    with pytest.raises(OptionError, match="--zoom: a zoom is a number from 1"):
        check(folder, zoom=zoom)


@pytest.mark.parametrize("frame", ["", "huge", "1920x1081", "0x0", "1920"])
def test_a_frame_that_is_none_is_refused(folder: Path, frame: str) -> None:
    with pytest.raises(RequestError, match="frame"):
        check(folder, frame=frame)


def test_an_unreadable_file_is_listed_beside_the_others_and_needs_attention(tmp_path: Path) -> None:
    still(tmp_path / "good.png", 4000, 3000)
    whole = still(tmp_path / "torn.png", 4000, 3000).read_bytes()
    (tmp_path / "torn.png").write_bytes(whole[: len(whole) // 2])
    (tmp_path / "empty.jpg").touch()
    result = check(tmp_path, frame="hd")
    assert [each.photograph.name for each in result.verdicts] == ["good.png"]
    assert [refusal.name for refusal in result.refused] == ["empty.jpg", "torn.png"]
    assert result.needs_attention


def test_a_check_writes_nothing(folder: Path, listing: Listing) -> None:
    before = listing(folder)
    check(folder)
    assert listing(folder) == before
