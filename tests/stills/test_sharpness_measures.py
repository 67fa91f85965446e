from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image
from PIL.Image import Resampling

from kenburns.stills.detail.enlargement import find_enlargement
from kenburns.stills.detail.measures import MEASURES, detail_measures, power_mean
from kenburns.stills.detail.noise import noise_level
from kenburns.stills.detail.weights import WEIGHTS

Luma = NDArray[np.uint8]


def _grain(side: int = 256, seed: int = 3) -> Luma:
    """Return white noise smoothed a little, so that it has structure at every scale down to 2 px."""
    noise = np.random.default_rng(seed).normal(128, 70, (side + 1, side + 1))
    smooth = (noise[1:, 1:] + noise[:-1, 1:] + noise[1:, :-1] + noise[:-1, :-1]) / 4
    return np.clip(smooth, 0, 255).astype(np.uint8)


def _larger(luma: Luma, factor: float, kernel: Resampling) -> Luma:
    side = round(luma.shape[0] * factor)
    return np.asarray(Image.fromarray(luma).resize((side, side), kernel))


def test_the_power_mean_of_a_constant_is_the_constant() -> None:
    counts = np.zeros(256)
    counts[37] = 9
    assert power_mean(counts, 8) == pytest.approx(37)


def test_power_means_by_hand() -> None:
    counts = np.zeros(256)
    counts[[0, 3, 5]] = 2, 1, 1
    assert power_mean(counts, 1) == pytest.approx((3 + 5) / 4, rel=1e-3)
    assert power_mean(counts, 4) == pytest.approx(((81 + 625) / 4) ** 0.25, rel=1e-3)


def test_the_few_largest_values_are_left_out() -> None:
    counts = np.zeros(256)
    counts[[10, 255]] = 99_998, 2
    assert power_mean(counts, 8) == pytest.approx(10)


def test_a_step_by_hand() -> None:
    # One step from 0 to 200 across: over k px it is seen in k of 256 - k columns, and by half of all directions, each
    # with as many places. So the eighth powers stand as k / (256 - k), near enough, and the values to the power 1/8.
    step = np.zeros((256, 256), np.uint8)
    step[:, 128:] = 200
    places = {k: 256 * (256 - k) * 2 for k in (1, 2)}
    expected = (np.log(256 * 1 / places[1]) - np.log(256 * 2 / places[2])) / 8
    assert detail_measures([step])[0] == pytest.approx(expected, abs=0.02)


def test_a_ramp_doubles_with_the_distance() -> None:
    ramp = np.tile(np.arange(256, dtype=np.uint8), (256, 1))
    ramp = ((ramp.astype(int) + ramp.T) // 2).astype(np.uint8)
    over_4_and_8 = detail_measures([ramp])[3:5].sum()
    assert over_4_and_8 == pytest.approx(np.log(1 / 2), abs=0.1)


def test_contrast_does_not_count() -> None:
    strong = _grain() // 2 * 2
    assert detail_measures([strong // 2]) == pytest.approx(detail_measures([strong]), abs=0.05)


def test_every_measure_has_a_name_and_weights() -> None:
    count = len(MEASURES)
    assert detail_measures([_grain(32)]).shape == (count,)
    assert WEIGHTS.centre.shape == WEIGHTS.spread.shape == (count,)
    assert WEIGHTS.terms.shape == ((count + 1) * (count + 2) // 2,)
    assert (WEIGHTS.spread > 0).all()


def test_measuring_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one patch to measure, not 0"):
        detail_measures([])


@pytest.mark.parametrize("factor", [2, 3, 4, 5])
@pytest.mark.parametrize("shift", [0, 1])
def test_repeated_pixels_are_found_wherever_the_patch_starts(factor: int, shift: int) -> None:
    large = np.kron(_grain(), np.ones((factor, factor), np.uint8))[shift : shift + 256, shift : shift + 256]
    found = find_enlargement([np.ascontiguousarray(large)])
    assert found is not None
    assert found.repeated
    assert found.factor == pytest.approx(factor, rel=0.02)


@pytest.mark.parametrize("factor", [1.25, 1.5])
def test_pixels_repeated_here_and_there_are_found(factor: float) -> None:
    found = find_enlargement([_larger(_grain(), factor, Resampling.NEAREST)[:256, :256]])
    assert found is not None
    assert found.repeated
    assert found.factor == pytest.approx(factor, rel=0.02)


@pytest.mark.parametrize("kernel", [Resampling.BILINEAR, Resampling.BICUBIC, Resampling.LANCZOS])
@pytest.mark.parametrize("factor", [1.5, 2, 3, 4])
def test_a_smooth_enlargement_repeats_nothing(kernel: Resampling, factor: float) -> None:
    found = find_enlargement([_larger(_grain(), factor, kernel)[:256, :256]])
    assert found is None or not found.repeated


@pytest.mark.parametrize("seed", range(5))
def test_what_was_not_enlarged_has_no_rhythm(seed: int) -> None:
    assert find_enlargement([_grain(seed=seed), _grain(seed=seed + 100)]) is None


def test_a_rhythm_in_one_direction_only_is_the_pictures_own() -> None:
    assert find_enlargement([np.repeat(_grain(), 2, axis=1)[:, :256].copy()]) is None


def test_a_jpegs_blocks_are_no_enlargement() -> None:
    blocks = np.kron(_grain(32), np.ones((8, 8), np.uint8))
    assert find_enlargement([blocks]) is None


def test_flat_or_small_patches_have_no_rhythm() -> None:
    assert find_enlargement([np.full((256, 256), 9, np.uint8)]) is None
    assert find_enlargement([np.kron(_grain(20), np.ones((3, 3), np.uint8))]) is None
    assert find_enlargement([]) is None


@pytest.mark.parametrize("sigma", [2.0, 5.0, 10.0])
def test_noise_of_known_deviation_is_measured(sigma: float) -> None:
    # Definition of the test: white noise on a ramp, which the mask does not see (Immerkær 1996).
    ramp = np.linspace(60, 190, 256)[None, :] + np.zeros((256, 1))
    noisy = np.clip(np.rint(ramp + np.random.default_rng(7).normal(0, sigma, ramp.shape)), 0, 255)
    assert noise_level([noisy.astype(np.uint8)]) == pytest.approx(sigma, rel=0.15)


def test_clipped_parts_say_nothing_about_noise() -> None:
    noisy = np.clip(np.random.default_rng(8).normal(128, 5, (256, 256)), 0, 255).astype(np.uint8)
    noisy[:128] = 255
    assert noise_level([noisy]) > 4
    assert noise_level([np.full((64, 64), 255, np.uint8)]) == 0
    assert noise_level([]) == 0
