"""Routes against a published implementation, and against the geometry of the metric itself.

reference/zoom_table.csv: d3-interpolate 3.0.2, made by reference/make_zoom_table.mjs.
With y = w / rho^2 the metric is (dx^2 + dy^2) / (rho y)^2, Poincaré's half-plane over rho^2, where the distance is
arcosh(1 + (dx^2 + dy^2) / (2 y0 y1)) (any textbook of hyperbolic geometry).
"""

from __future__ import annotations

import csv
import math
from itertools import groupby
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from kenburns.motion.zoom import RHO, Route, View, direct_path, zoom_path

TABLE = Path(__file__).parent / "reference" / "zoom_table.csv"
U = np.linspace(0, 1, 2001)

places = st.floats(-20_000, 20_000)
widths = st.floats(50, 20_000)
views = st.tuples(places, places, widths)
rhos = st.floats(0.5, 3)


def rows() -> list[list[float]]:
    with TABLE.open(encoding="utf-8", newline="") as lines:
        return [[float(cell) for cell in row] for row in list(csv.reader(lines))[1:]]


MOVES = [list(group) for _, group in groupby(rows(), key=lambda row: row[:7])]


def measured_length(path: NDArray[np.float64], rho: float) -> float:
    """Return the length of a finely sampled path by summing the metric at the middle of each step."""
    step, middle = np.diff(path, axis=0), (path[1:, 2] + path[:-1, 2]) / 2
    squares = rho**2 * (step[:, 0] ** 2 + step[:, 1] ** 2) + step[:, 2] ** 2 / rho**2
    return float(np.sum(np.sqrt(squares) / middle))


def half_plane_distance(start: View, end: View, rho: float) -> float:
    squares = math.dist(start[:2], end[:2]) ** 2 + ((end[2] - start[2]) / rho**2) ** 2
    # arcosh(1 + a) = 2 arsinh(sqrt(a / 2)), without the loss of a small a.
    return 2 * math.asinh(math.sqrt(squares / (4 * start[2] * end[2])) * rho**2) / rho


@pytest.mark.parametrize("move", MOVES, ids=lambda move: "-".join(f"{cell:g}" for cell in move[0][:7]))
def test_zoom_path_agrees_with_d3_interpolate(move: list[list[float]]) -> None:
    rho, x0, y0, w0, x1, y1, w1, length = move[0][:8]
    path = zoom_path((x0, y0, w0), (x1, y1, w1), rho)
    table = np.array(move)
    assert path.length == pytest.approx(length, rel=1e-9)
    np.testing.assert_allclose(path.at(table[:, 8]), table[:, 9:], rtol=1e-9, atol=1e-7)


def test_the_table_has_a_few_dozen_rows_at_three_rhos() -> None:
    assert len(rows()) == 120
    assert sorted({row[0] for row in rows()}) == [1, math.sqrt(2), 2]


@given(views, views, rhos)
def test_zoom_path_is_as_long_as_the_half_plane_distance(start: View, end: View, rho: float) -> None:
    assert zoom_path(start, end, rho).length == pytest.approx(half_plane_distance(start, end, rho), rel=1e-9, abs=1e-9)


@settings(max_examples=50)
@given(views, views)
def test_both_routes_run_evenly_and_are_as_long_as_they_say(start: View, end: View) -> None:
    for way in (zoom_path(start, end), direct_path(start, end)):
        halves = [measured_length(way.at(part), RHO) for part in (U / 2, 0.5 + U / 2)]
        assert halves == pytest.approx([way.length / 2] * 2, rel=1e-4, abs=1e-9)


@given(views, views, rhos)
def test_the_zoom_path_is_never_the_longer(start: View, end: View, rho: float) -> None:
    assert zoom_path(start, end, rho).length <= direct_path(start, end, rho).length * (1 + 1e-9) + 1e-12


@given(views, views)
def test_ends_are_exact_on_both_routes(start: View, end: View) -> None:
    for way in (zoom_path(start, end), direct_path(start, end)):
        np.testing.assert_array_equal(way.at(np.array([0.0, 1.0])), [start, end])


@given(views, views)
def test_the_way_back_is_the_way_there_reversed(start: View, end: View) -> None:
    u = U[::100]
    for make in (zoom_path, direct_path):
        there, back = make(start, end).at(u), make(end, start).at(1 - u)
        np.testing.assert_allclose(there, back, rtol=1e-7, atol=1e-6)


@given(views, views)
def test_the_direct_route_stays_between_its_ends_in_every_coordinate(start: View, end: View) -> None:
    path = direct_path(start, end).at(U[::50])
    # The rectangle's edges are sums of these, so it stays inside the hull of the two rectangles.
    assert np.all(path >= np.minimum(start, end) - 1e-9)
    assert np.all(path <= np.maximum(start, end) + 1e-9)


def test_a_direct_zoom_keeps_one_point_fixed_and_halves_its_width_in_equal_times() -> None:
    # 1000 wide about (600, 0) to 250 wide about (150, 0): x = 0 stays at the share 0.5 - 600/1000 of the frame.
    path = direct_path((600, 0, 1000), (150, 0, 250)).at(np.array([0, 0.5, 1]))
    np.testing.assert_allclose(path[:, 2], [1000, 500, 250])
    np.testing.assert_allclose(path[:, 0] / path[:, 2], 0.6)


def test_a_direct_pan_is_linear_with_the_length_of_the_closed_form() -> None:
    pan = direct_path((0, 0, 500), (300, 400, 500))
    np.testing.assert_allclose(pan.at(np.array([0.25])), [[75, 100, 500]])
    assert pan.length == pytest.approx(RHO * 500 / 500)


def test_a_direct_zoom_has_the_length_of_the_closed_form() -> None:
    # |ln(w1/w0)| sqrt(rho^2 k^2 + 1/rho^2) with k = |dc|/|dw| = 300/600
    expected = math.log(4) * math.sqrt(2 * 0.5**2 + 1 / 2)
    assert direct_path((0, 0, 800), (300, 0, 200)).length == pytest.approx(expected, rel=1e-14)


def test_equal_centres_leave_a_plain_zoom() -> None:
    path = zoom_path((50, 60, 4000), (50, 60, 1000))
    np.testing.assert_allclose(path.at(np.array([0.5])), [[50, 60, 2000]])
    assert path.length == pytest.approx(math.log(4) / RHO)


def test_equal_views_leave_a_rest_without_length() -> None:
    still = (50.0, 60.0, 4000.0)
    assert zoom_path(still, still).length == 0
    np.testing.assert_array_equal(zoom_path(still, still).at(U[::500]), [still] * 5)


@given(views, st.floats(-1e-3, 1e-3), st.floats(-1e-3, 1e-3))
def test_ever_smaller_moves_meet_the_direct_route(start: View, dx: float, dw: float) -> None:
    """No formula may fall apart as the centres or the widths come together."""
    end = (start[0] + dx, start[1], start[2] + dw)
    u = U[::100]
    np.testing.assert_allclose(zoom_path(start, end).at(u), direct_path(start, end).at(u), rtol=0, atol=1e-6)


def test_a_long_pan_draws_back_and_a_short_one_hardly() -> None:
    long, short = zoom_path((0, 0, 100), (10_000, 0, 100)), zoom_path((0, 0, 100), (1, 0, 100))
    assert long.at(U)[:, 2].max() > 1000
    assert short.at(U)[:, 2].max() < 100.01


@pytest.mark.parametrize(("w0", "w1", "rho"), [(0, 1, 1), (1, -1, 1), (1, 1, 0), (math.nan, 1, 1)])
def test_widths_and_rho_are_above_zero(w0: float, w1: float, rho: float) -> None:
    for make in (zoom_path, direct_path):
        with pytest.raises(ValueError, match="above 0"):
            make((0, 0, w0), (0, 0, w1), rho)


def test_both_routes_are_routes() -> None:
    ways: list[Route] = [zoom_path((0, 0, 1), (5, 0, 2)), direct_path((0, 0, 1), (5, 0, 2))]
    assert all(way.at(U[:7]).shape == (7, 3) for way in ways)
