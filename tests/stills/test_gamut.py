"""Gamut mapping against coloraide's of CSS Color 4, measured in colour-science's OKLab.

coloraide: method "oklch-chroma" with its just noticeable difference of 0.02.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from kenburns.stills.gamut import FARTHEST, HIGH, JND, LOW, THRESHOLD, fit, press, reach_of

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says at import that plotting is not there
    import colour

Floats = NDArray[np.float64]

# Linear sRGB of Display P3's red, green and blue, and of a deep orange in it (matrix: SMPTE EG 432-1, IEC 61966-2-1).
P3 = np.array([[1.2249, -0.0420, -0.0196], [-0.2249, 1.0420, -0.0786], [0.0, 0.0, 1.0983], [1.177, 0.181, -0.036]])
RANDOM = np.random.default_rng(7).uniform(-0.3, 1.3, (300, 3))


def fitted(light: Floats, reach: float = 1.0) -> Floats:
    result = light.copy()
    fit(result, reach)
    return result


def oklab(light: Floats) -> Floats:
    """L, a, b by colour-science."""
    return np.asarray(colour.XYZ_to_Oklab(light @ colour.RGB_COLOURSPACES["sRGB"].matrix_RGB_to_XYZ.T))


def hue(light: Floats) -> Floats:
    lab = oklab(light)
    return np.asarray(np.degrees(np.arctan2(lab[:, 2], lab[:, 1])))


def turned(a: Floats, b: Floats) -> Floats:
    """By how many degrees hues differ."""
    return np.asarray(np.abs((hue(a) - hue(b) + 180) % 360 - 180))


def is_inside(light: Floats) -> bool:
    return bool(light.min() >= LOW and light.max() <= HIGH)


def light_of(lightness: float, chroma: float, hue_degrees: float) -> Floats:
    a, b = chroma * np.cos(np.radians(hue_degrees)), chroma * np.sin(np.radians(hue_degrees))
    xyz = colour.Oklab_to_XYZ([lightness, a, b])
    return np.asarray(xyz @ colour.RGB_COLOURSPACES["sRGB"].matrix_XYZ_to_RGB.T)[None]


def test_relative_mapping_is_that_of_css_color_4() -> None:
    light = np.concatenate([P3, RANDOM])
    ours = fitted(light)
    for before, after in zip(light, ours, strict=True):
        reference = Color("srgb-linear", list(before)).fit(method="oklch-chroma", jnd=JND)
        # The published search stops within 1e-4 of chroma; a twentieth of what is just noticed is far more.
        assert reference.delta_e(Color("srgb-linear", list(after)), method="ok") <= JND / 20


def test_relative_mapping_leaves_colours_in_gamut_untouched() -> None:
    light = np.random.default_rng(1).uniform(0, 1, (5000, 3))
    assert np.array_equal(fitted(light), light)


@pytest.mark.parametrize("reach", [1.0, 1.5])
def test_near_neutral_colours_are_untouched_by_both(reach: float) -> None:
    light = np.linspace(0, 1, 500)[:, None] * [1.0, 0.999, 0.998]
    assert np.array_equal(fitted(light[:-10], reach), light[:-10])  # the last are so near white that 0.998 is its edge


@given(
    st.lists(st.tuples(*[st.floats(-1.5, 2.5)] * 3), min_size=1, max_size=20),
    st.sampled_from([1.0, 1.01, 1.3, FARTHEST]),
)
@settings(max_examples=60)
def test_everything_ends_in_the_gamut(colours: list[tuple[float, float, float]], reach: float) -> None:
    assert is_inside(fitted(np.array(colours), reach))


@pytest.mark.parametrize("reach", [1.0, 1.3, FARTHEST])
def test_neutrals_stay_as_they_are_and_what_is_brighter_than_white_is_white(reach: float) -> None:
    grey = np.linspace(0, 1, 101)[:, None].repeat(3, axis=1)
    assert np.array_equal(fitted(grey, reach), grey)
    assert np.array_equal(fitted(np.array([[1.2, 1.2, 1.2], [-0.1, -0.1, -0.1]]), reach), [[1.0] * 3, [0.0] * 3])


def test_relative_mapping_strays_from_hue_and_lightness_by_no_more_than_is_just_noticed() -> None:
    light = RANDOM[(oklab(RANDOM)[:, 0] > 0) & (oklab(RANDOM)[:, 0] < 1)]
    before, after = oklab(light), oklab(fitted(light))
    direction = before[:, 1:] / np.linalg.norm(before[:, 1:], axis=1, keepdims=True)
    aside = after[:, 1] * direction[:, 1] - after[:, 2] * direction[:, 0]
    # The matrices of colour-science and of OKLab's author differ in the fifth digit.
    assert np.hypot(aside, after[:, 0] - before[:, 0]).max() <= JND + 1e-3


def test_relative_mapping_turns_hues_less_than_a_clip_of_each_channel() -> None:
    """Two deep greens and an orange that opRGB holds, in linear sRGB."""
    light = np.array([[-0.398, 1.0, -0.043], [-0.244, 0.612, 0.113], [1.312, 0.218, -0.009]])
    clipped, mapped = turned(light, light.clip(0, 1)), turned(light, fitted(light))
    assert clipped.min() > 4.5
    assert mapped.max() < 3
    assert (mapped < 0.6 * clipped).all()


@pytest.mark.parametrize("reach", [1.1, 1.5, FARTHEST])
def test_perceptual_mapping_keeps_hue_and_lightness(reach: float) -> None:
    light = RANDOM[(oklab(RANDOM)[:, 0] > 0.2) & (oklab(RANDOM)[:, 0] < 0.97)]
    mapped = fitted(light, reach)
    assert np.abs(oklab(light)[:, 0] - oklab(mapped)[:, 0]).max() < 1e-3
    assert turned(light, mapped).max() < 0.5


@given(st.floats(0.25, 0.9), st.floats(0, 360))
@settings(max_examples=60)
def test_perceptual_mapping_rises_with_chroma_until_where_the_source_ends(lightness: float, hue_degrees: float) -> None:
    reach = 1.6
    edge = _edge(lightness, hue_degrees)
    shares = np.array([0.5, 0.75, 0.85, 0.95, 1.0, 1.1, 1.2, 1.3, 1.45, 1.6])
    light = np.concatenate([light_of(lightness, edge * share, hue_degrees) for share in shares])
    chroma = np.linalg.norm(oklab(fitted(light, reach))[:, 1:], axis=1)
    assert (np.diff(chroma) > 0.001 * edge).all()
    assert chroma[-1] == pytest.approx(edge, abs=0.0015)
    assert chroma[:2] == pytest.approx(edge * shares[:2], abs=1e-4)  # below the threshold nothing is done


def _edge(lightness: float, hue_degrees: float) -> float:
    """Return the chroma at which sRGB ends, found by steps of a thousandth."""
    steps = np.arange(0.001, 0.4, 0.001)
    inside = [is_inside(light_of(lightness, chroma, hue_degrees)) for chroma in steps]
    return float(steps[inside.index(False)])


def test_colours_that_a_clip_makes_equal_stay_apart_under_the_perceptual_intent() -> None:
    """Two greens near that of Display P3, of which a clip leaves the same green."""
    light = np.array([[-0.15, 1.02, -0.05], [-0.22, 1.04, -0.07]])
    clipped, mapped = light.clip(0, 1), fitted(light, reach_of(P3))
    assert np.array_equal(clipped[0], clipped[1])
    first, second = oklab(mapped)
    assert np.linalg.norm(first - second) > 0.005


def test_reach_is_one_inside_the_gamut_and_grows_beyond_it() -> None:
    assert reach_of(np.random.default_rng(2).uniform(0, 1, (500, 3))) == 1
    assert 1.05 < reach_of(P3) <= FARTHEST
    assert reach_of(np.array([[-0.9, 0.9, -0.2]])) == FARTHEST


@given(st.floats(1.001, FARTHEST))
def test_pressing_keeps_small_distances_ends_at_one_and_always_rises(reach: float) -> None:
    """Properties published with the ACES Reference Gamut Compression: identity, continuous slope, limit to 1."""
    assert press(THRESHOLD / 2, reach) == THRESHOLD / 2
    assert press(reach, reach) == pytest.approx(1, abs=1e-9)
    just_above = THRESHOLD + 1e-6
    assert press(just_above, reach) == pytest.approx(just_above, abs=1e-8)
    rising = [press(distance, reach) for distance in np.linspace(THRESHOLD, reach, 40)]
    assert (np.diff(rising) > 0).all()


@pytest.mark.parametrize("reach", [0.99, FARTHEST + 0.01, float("nan")])
def test_a_reach_outside_its_range_is_refused(reach: float) -> None:
    with pytest.raises(ValueError, match="1 to 2 times as far"):
        fit(RANDOM.copy(), reach)
