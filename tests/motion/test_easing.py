"""Easing curves against their published definitions.

cubic-bezier: W3C, CSS Easing Functions Level 1, sections "cubic-bezier() easing functions" (keywords ease, ease-in,
ease-out, ease-in-out) and, for a solution found another way, polynomial roots.
minimum-jerk: Flash & Hogan (1985), as the polynomial with zero velocity and acceleration at both ends.
"""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from kenburns.errors import OptionError
from kenburns.motion.easing import easing

NAMES = ("linear", "sine", "cubic", "minimum-jerk")
# The keywords' numbers as css-easing-1 defines them.
CSS = {
    "ease": (0.25, 0.1, 0.25, 1.0),
    "ease-in": (0.42, 0.0, 1.0, 1.0),
    "ease-out": (0.0, 0.0, 0.58, 1.0),
    "ease-in-out": (0.42, 0.0, 0.58, 1.0),
}
EXTREME = ((0.0, 1.0, 1.0, 0.0), (1.0, 0.0, 0.0, 1.0), (1.0, 1.0, 0.0, 0.0), (0.0, 0.0, 0.0, 0.0), (1.0,) * 4)
LATTICE = np.linspace(0, 1, 1001)

unit = st.floats(0, 1)
quadruples = st.tuples(unit, unit, unit, unit)


def bezier_name(numbers: tuple[float, ...]) -> str:
    return f"cubic-bezier({', '.join(map(repr, numbers))})"


def solved_by_roots(numbers: tuple[float, ...], x: float) -> float:
    """Return y at x by the polynomial's roots: x(s) = (1 + 3 x1 - 3 x2) s^3 + (3 x2 - 6 x1) s^2 + 3 x1 s."""
    x1, y1, x2, y2 = numbers
    roots = np.roots([1 + 3 * x1 - 3 * x2, 3 * x2 - 6 * x1, 3 * x1, -x])
    (s,) = (root.real for root in roots if abs(root.imag) < 1e-9 and 0 <= root.real <= 1)
    return float((1 + 3 * y1 - 3 * y2) * s**3 + (3 * y2 - 6 * y1) * s**2 + 3 * y1 * s)


def at(name: str, *t: float) -> NDArray[np.float64]:
    return easing(name)(np.array(t))


@pytest.mark.parametrize("name", [*NAMES, *map(bezier_name, CSS.values()), *map(bezier_name, EXTREME)])
def test_ends_are_exact_and_all_between_stays_in_0_to_1(name: str) -> None:
    eased = easing(name)(LATTICE)
    assert eased[0] == 0
    assert eased[-1] == 1
    assert eased.min() >= 0
    assert eased.max() <= 1


@pytest.mark.parametrize("name", NAMES)
def test_named_curves_rise_and_are_point_symmetric(name: str) -> None:
    eased = easing(name)(LATTICE)
    assert np.all(np.diff(eased) > 0)
    np.testing.assert_allclose(eased + eased[::-1], 1, atol=1e-15)


def test_the_input_is_left_alone() -> None:
    for name in (*NAMES, bezier_name(CSS["ease"])):
        t = LATTICE.copy()
        eased = easing(name)(t)
        eased += 1
        np.testing.assert_array_equal(t, LATTICE)


def test_quarter_points_are_those_worked_by_hand() -> None:
    assert at("linear", 0.25) == 0.25
    assert at("sine", 0.25) == pytest.approx((1 - np.sqrt(0.5)) / 2, abs=1e-16)
    assert at("cubic", 0.25) == 4 / 64
    # 10/64 - 15/256 + 6/1024 = (160 - 60 + 6) / 1024
    assert at("minimum-jerk", 0.25) == 106 / 1024


def test_minimum_jerk_starts_and_ends_without_velocity_or_acceleration() -> None:
    """Flash & Hogan (1985): the quintic from rest to rest has zero first and second derivatives at both ends."""
    system = np.array(
        [
            [1, 1, 1],  # value at 1 of t^3, t^4, t^5
            [3, 4, 5],  # velocity at 1
            [6, 12, 20],  # acceleration at 1
        ]
    )
    a, b, c = np.linalg.solve(system, [1, 0, 0])
    np.testing.assert_allclose(
        easing("minimum-jerk")(LATTICE), a * LATTICE**3 + b * LATTICE**4 + c * LATTICE**5, atol=1e-14
    )


@pytest.mark.parametrize("numbers", CSS.values(), ids=CSS)
def test_css_keywords_agree_with_a_solution_by_polynomial_roots(numbers: tuple[float, ...]) -> None:
    x = np.linspace(0.01, 0.99, 50)
    expected = [solved_by_roots(numbers, value) for value in x]
    np.testing.assert_allclose(easing(bezier_name(numbers))(x), expected, atol=1e-9)


@settings(max_examples=60)
@given(quadruples)
def test_bezier_lies_on_the_curve_traced_by_its_parameter(numbers: tuple[float, ...]) -> None:
    """The definition itself, densely: P(s) = 3 (1-s)^2 s P1 + 3 (1-s) s^2 P2 + s^3 (1, 1)."""
    x1, y1, x2, y2 = numbers
    s = np.linspace(0, 1, 20_001)
    x = 3 * (1 - s) ** 2 * s * x1 + 3 * (1 - s) * s**2 * x2 + s**3
    y = 3 * (1 - s) ** 2 * s * y1 + 3 * (1 - s) * s**2 * y2 + s**3
    t = np.linspace(0.001, 0.999, 97)
    eased = easing(bezier_name(numbers))(t)
    # Between two traced points the curve rises, so it passes between their values; where it is steep they lie apart.
    after = np.clip(np.searchsorted(x, t), 1, len(s) - 1)
    assert np.all(eased >= y[after - 1] - 1e-9)
    assert np.all(eased <= y[after] + 1e-9)


@settings(max_examples=60)
@given(quadruples)
def test_bezier_never_falls(numbers: tuple[float, ...]) -> None:
    assert np.all(np.diff(easing(bezier_name(numbers))(LATTICE)) >= -1e-12)


def test_a_bezier_on_the_diagonal_is_linear() -> None:
    """css-easing-1: "linear" equals cubic-bezier(0, 0, 1, 1)."""
    np.testing.assert_allclose(easing("cubic-bezier(0, 0, 1, 1)")(LATTICE), LATTICE, atol=1e-14)


def test_names_are_read_leniently() -> None:
    np.testing.assert_array_equal(at(" Sine ", 0.3), at("sine", 0.3))
    np.testing.assert_array_equal(at("cubic-bezier(.25,.1,.25,1)", 0.3), at(bezier_name(CSS["ease"]), 0.3))


@pytest.mark.parametrize(
    "text",
    [
        "cubic-bezier(0.3, 1.6, 0.7, 1)",  # overshoots
        "cubic-bezier(0.3, -0.2, 0.7, 1)",  # draws back first
        "cubic-bezier(1.2, 0, 0.7, 1)",  # no function of time; css-easing-1 refuses it too
        "cubic-bezier(nan, 0, 0.7, 1)",
    ],
)
def test_a_bezier_that_leaves_0_to_1_is_refused_and_told_why(text: str) -> None:
    with pytest.raises(OptionError, match=re.escape(repr(text)) + " leaves 0 to 1"):
        easing(text)


@pytest.mark.parametrize("text", ["cubic-bezier()", "cubic-bezier(0, 1, 0)", "cubic-bezier(a, b, c, d)"])
def test_a_bezier_without_four_numbers_is_refused(text: str) -> None:
    with pytest.raises(OptionError, match="needs four numbers"):
        easing(text)


def test_an_unknown_easing_is_refused_with_those_that_work() -> None:
    with pytest.raises(
        OptionError, match="'bounce' is not known; use linear, sine, cubic, minimum-jerk or cubic-bezier"
    ):
        easing("bounce")
