from __future__ import annotations

import hashlib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
import skimage.data
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from kenburns.stills.interest import learned
from kenburns.stills.interest.learned import MODEL, learned_map


def sample(name: str) -> NDArray[np.uint8]:
    """One of scikit-image's pictures."""
    picture: Any = getattr(skimage.data, name)()
    return np.asarray(picture, np.uint8)


def share(looks: NDArray[np.float32], rgb: NDArray[np.uint8], x: slice, y: slice) -> float:
    """The share of looks in a part of the picture given in its pixels, cells cut at its edges counting in part."""
    fine = cv2.resize(looks, (rgb.shape[1], rgb.shape[0]), interpolation=cv2.INTER_NEAREST)
    return float(fine[y, x].sum() / fine.sum())


def test_the_files_are_those_whose_sources_are_noted() -> None:
    noted = (MODEL.parent / "README.md").read_text(encoding="utf-8")
    found = sorted(MODEL.parent.glob("*.onnx"))
    assert [path.name for path in found] == ["faces.onnx", "saliency.onnx"]
    for path in found:
        data = path.read_bytes()
        assert f"| `{path.name}` | {len(data)} | `{hashlib.sha256(data).hexdigest()}` |" in noted


def test_the_learned_map_takes_at_most_three_megabytes() -> None:
    assert MODEL.stat().st_size <= 3_000_000


@pytest.mark.parametrize(
    ("size", "grid"),
    [
        ((800, 600), (18, 24)),
        ((600, 800), (24, 18)),
        ((500, 500), (20, 20)),
        ((1800, 200), (6, 62)),
        ((1, 1), (20, 20)),
        ((100, 1), (4, 96)),
    ],
)
def test_the_grid_has_the_picture_s_aspect_and_about_the_same_number_of_cells(
    size: tuple[int, int], grid: tuple[int, int]
) -> None:
    looks = learned_map(np.full((size[1], size[0], 3), 99, np.uint8))
    assert looks is not None
    assert looks.shape == grid


@settings(max_examples=15)
@given(st.integers(1, 300), st.integers(1, 300), st.integers(0, 999))
def test_any_picture_has_shares_that_sum_to_one_and_always_the_same(height: int, width: int, seed: int) -> None:
    rgb = np.random.default_rng(seed).integers(0, 256, (height, width, 3), dtype=np.uint8)
    looks, again = learned_map(rgb), learned_map(rgb)
    assert looks is not None
    assert again is not None
    assert looks.dtype == np.float32
    assert looks.min() >= 0
    assert float(looks.sum()) == pytest.approx(1, abs=1e-5)
    assert np.array_equal(looks, again)


def test_threads_get_what_one_gets_alone() -> None:
    pictures = [sample(name) for name in ("astronaut", "coffee", "chelsea", "rocket")] * 2
    with ThreadPoolExecutor(3) as pool:
        for rgb, looks in zip(pictures, pool.map(learned_map, pictures), strict=True):
            alone = learned_map(rgb)
            assert alone is not None
            assert looks is not None
            assert np.array_equal(looks, alone)


@pytest.mark.parametrize("size", [(77, 1), (1, 77), (4000, 100), (30, 900), (400, 300)])
def test_a_network_loaded_anew_answers_the_same_however_narrow_the_picture(size: tuple[int, int]) -> None:
    rgb = np.random.default_rng(1).integers(0, 256, (size[1], size[0], 3), dtype=np.uint8)
    first, *others = (learned.run(learned.loaded(MODEL), rgb) for _ in range(4))
    for other in others:
        np.testing.assert_array_equal(other, first)


def test_faces_draw_looks() -> None:
    """Faces draw looks in free viewing (Cerf et al., "Faces and text attract gaze", Journal of Vision 9(12):10, 2009).

    scikit-image's `astronaut`: head at about x 160-290, y 30-200, a tenth of the picture; `chelsea`, a cat's head.
    """
    woman, cat = sample("astronaut"), sample("chelsea")
    for rgb, x, y in ((woman, slice(160, 290), slice(30, 200)), (cat, slice(120, 330), slice(40, 260))):
        looks = learned_map(rgb)
        assert looks is not None
        area = (x.stop - x.start) * (y.stop - y.start) / (rgb.shape[0] * rgb.shape[1])
        assert share(looks, rgb, x, y) > min(2.5 * area, 0.5)


def test_without_the_file_there_is_no_learned_map(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(learned, "MODEL", tmp_path / "none.onnx")
    monkeypatch.setattr(learned, "_KEPT", learned._Kept())
    assert learned_map(sample("coffee")) is None


def test_loading_and_running_print_nothing(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(learned, "_KEPT", learned._Kept())
    assert learned_map(sample("coffee")) is not None
    assert capfd.readouterr() == ("", "")
