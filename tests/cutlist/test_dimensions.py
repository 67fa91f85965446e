from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kenburns.cutlist.dimensions import read_extent, read_size


@pytest.mark.parametrize(
    ("text", "size"),
    [
        # height before width: common practice for paintings and works on paper
        ("80 x 60 cm", (80.0, 60.0)),
        ("80 × 60", (80.0, 60.0)),
        ("80x60cm", (80.0, 60.0)),
        ("80 by 60 cm", (80.0, 60.0)),
        ("80 cm x 60 cm", (80.0, 60.0)),
        ("80,5 x 60,25 cm", (80.5, 60.25)),
        ("800 x 600 mm", (80.0, 60.0)),
        ("1.2 x 2 m", (120.0, 200.0)),
        ("80 x 60 x 4 cm", (80.0, 60.0)),
        ("H 80 cm x W 60 cm", (80.0, 60.0)),
        ("oil on canvas, 80 x 60 cm", (80.0, 60.0)),
        # the inch is 2.54 cm (international yard and pound agreement, 1959)
        ("10 x 20 in", (25.4, 50.8)),
        ('10" x 20"', (25.4, 50.8)),
        ("31 1/2 x 23 5/8 in.", (80.01, 60.0075)),
        ("31½ x 23⅝ inches", (80.01, 60.0075)),
        ("31 1/2 x 23 5/8 in (80 x 60 cm)", (80.0, 60.0)),
    ],
)
def test_a_size_is_height_and_width_in_centimetres(text: str, size: tuple[float, float]) -> None:
    assert read_size(text) == pytest.approx(size, abs=1e-9)


def test_the_unit_of_the_header_holds_where_the_cell_names_none() -> None:
    assert read_size("800 x 600", "mm") == (80.0, 60.0)
    assert read_size("80 x 60 cm", "mm") == (80.0, 60.0)
    assert read_extent("10", "in") == pytest.approx(25.4)


@pytest.mark.parametrize(("text", "extent"), [("80", 80.0), ("80,5 cm", 80.5), ("800mm", 80.0), ("1.2 m", 120.0)])
def test_an_extent_is_in_centimetres(text: str, extent: float) -> None:
    assert read_extent(text) == extent


@pytest.mark.parametrize("text", ["", "x", "80", "80 x", "0 x 60 cm", "80 x 0", "200 x 300 m", "1 1/0 x", "80 by"])
def test_what_is_no_size_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="size"):
        read_size(text)


@pytest.mark.parametrize("text", ["", "tall", "-5", "0", "101 m", "5 1/0", "80 x 60"])
def test_what_is_no_extent_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"height or width|size"):
        read_extent(text)


@given(st.text(max_size=60) | st.from_regex(r"[0-9 x/.,cmin½×]{0,400}", fullmatch=True))
def test_any_text_is_a_size_above_0_or_a_value_error(text: str) -> None:
    try:
        height, width = read_size(text)
    except ValueError:
        return
    assert 0 < height <= 10_000
    assert 0 < width <= 10_000


def test_a_long_run_of_spaces_does_not_hang() -> None:
    with pytest.raises(ValueError, match="size"):
        read_size("1" + " " * 100_000 + "x")
