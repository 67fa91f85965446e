from __future__ import annotations

import io
from typing import Any

import numpy as np
import pytest
import skimage.data
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from PIL.Image import Resampling

from kenburns.motion.geometry import Size
from kenburns.motion.headroom import headroom
from kenburns.stills.detail.compression import Quality
from kenburns.stills.detail.estimate import RealDetail, detail_class, real_detail, sharp_zoom, terms
from kenburns.stills.detail.patches import patch_places

Rgb = NDArray[np.uint8]


def _leaves(seed: int = 2, side: int = 512) -> Image.Image:
    """Return "dead leaves" (Lee, Mumford & Huang, Int. J. Computer Vision 41, 2001): discs that hide one another.

    Their sizes follow radius ** -3, which has the edges and spectrum of photographs; drawn at four times the size.
    """
    chance = np.random.default_rng(seed)
    image = Image.new("RGB", (4 * side, 4 * side), (120, 110, 100))
    pen = ImageDraw.Draw(image)
    for _ in range(4000):
        radius = 12 / np.sqrt(chance.uniform(0.0006, 1))
        x, y = chance.uniform(0, 4 * side, 2)
        pen.ellipse((x - radius, y - radius, x + radius, y + radius), tuple(chance.integers(20, 235, 3).tolist()))
    return image.resize((side, side), Resampling.BOX)


def _photograph(name: str) -> Image.Image:
    """Return one of scikit-image's photographs at half its size, so that every pixel is real."""
    image = Image.fromarray(np.asarray(getattr(skimage.data, name)(), np.uint8))
    return image.resize((image.width // 2, image.height // 2), Resampling.BOX)


def _larger(image: Image.Image, factor: float, kernel: Resampling) -> Image.Image:
    return image.resize((round(image.width * factor), round(image.height * factor)), kernel)


def _patches(image: Image.Image) -> list[Rgb]:
    rgb = np.asarray(image)
    places = patch_places(Size(image.width, image.height))
    return [rgb[int(p.y) : int(p.bottom), int(p.x) : int(p.right)] for p in places]


def _jpeg(image: Image.Image, quality: int) -> Image.Image:
    file = io.BytesIO()
    image.save(file, "JPEG", quality=quality)
    return Image.open(file).convert("RGB")


SHARP = {"leaves": _leaves(), "photograph": _photograph("astronaut")}
smooth = pytest.mark.parametrize("kernel", [Resampling.BILINEAR, Resampling.BICUBIC, Resampling.LANCZOS])
subject = pytest.mark.parametrize("name", list(SHARP))


@subject
@pytest.mark.parametrize("quality", [None, 90, 60])
def test_a_sharp_picture_is_full_also_as_a_jpeg(name: str, quality: int | None) -> None:
    image = SHARP[name] if quality is None else _jpeg(SHARP[name], quality)
    found = real_detail(_patches(image))
    assert found.detail_class == "full"
    assert "soft" not in found.causes
    assert found.warning(Size(6000, 4000), Size(3840, 2160)) is None


@subject
@smooth
@pytest.mark.parametrize("factor", [2.0, 3.0, 4.0])
def test_an_enlarged_picture_holds_what_it_held_before(name: str, kernel: Resampling, factor: float) -> None:
    found = real_detail(_patches(_larger(SHARP[name], factor, kernel)))
    assert found.scale == pytest.approx(1 / factor, rel=0.3)
    assert found.detail_class != "full"
    assert found.causes[0] in ("enlarged", "soft")


@subject
@pytest.mark.parametrize("factor", [2, 3, 4])
@pytest.mark.parametrize("quality", [None, 90])
def test_repeated_pixels_are_named_with_their_factor(name: str, factor: int, quality: int | None) -> None:
    image = _larger(SHARP[name], factor, Resampling.NEAREST)
    found = real_detail(_patches(image if quality is None else _jpeg(image, quality)))
    assert found.causes[0] == "nearest enlargement"
    assert found.factor == pytest.approx(factor, rel=0.02)
    assert found.scale <= 1 / factor + 0.01


@subject
def test_more_enlargement_never_gives_more_detail(name: str) -> None:
    factors = (1, 1.5, 2, 3, 4)
    scales = [real_detail(_patches(_larger(SHARP[name], f, Resampling.BICUBIC))).scale for f in factors]
    assert scales == sorted(scales, reverse=True)


def test_one_hot_pixel_does_not_make_a_soft_picture_sharp() -> None:
    soft = np.asarray(_larger(SHARP["leaves"], 3, Resampling.BICUBIC)).copy()
    before = real_detail(_patches(Image.fromarray(soft)))
    soft[300, 300] = 255
    after = real_detail(_patches(Image.fromarray(soft)))
    assert after.scale == pytest.approx(before.scale, rel=0.1)


def test_16_bits_say_what_8_bits_say() -> None:
    eight = _patches(_larger(SHARP["photograph"], 2, Resampling.BICUBIC))
    assert real_detail([patch.astype(np.uint16) * 257 for patch in eight]) == real_detail(eight)


def test_flat_patches_have_no_say() -> None:
    patches = _patches(_larger(SHARP["leaves"], 2, Resampling.BICUBIC))
    flat = [np.full((256, 256, 3), 128, np.uint8)] * 12
    assert real_detail([*flat, *patches]).scale == real_detail(patches).scale


@pytest.mark.parametrize("patches", [[], [np.full((256, 256, 3), 128, np.uint8)] * 3])
def test_nothing_to_see_counts_as_full(patches: list[Rgb]) -> None:
    found = real_detail(patches)
    assert (found.scale, found.detail_class, found.causes) == (1.0, "full", ())


def test_noise_is_named() -> None:
    grain = np.random.default_rng(1).normal(0, 8, (512, 512, 1))
    noisy = np.clip(np.asarray(SHARP["leaves"]) + grain, 0, 255).astype(np.uint8)
    assert "noisy" in real_detail(_patches(Image.fromarray(noisy))).causes
    assert "noisy" not in real_detail(_patches(SHARP["leaves"])).causes


def test_a_poor_jpeg_is_named_by_its_table_or_by_its_blocks() -> None:
    patches = _patches(SHARP["photograph"])
    assert "compressed" in real_detail(patches, Quality(40, exact=True)).causes
    assert "compressed" not in real_detail(patches, Quality(90, exact=True)).causes
    again = _patches(_jpeg(SHARP["photograph"], 10))
    assert "compressed" in real_detail(again).causes


@pytest.mark.parametrize(
    ("scale", "shown"),
    [(1, "full"), (0.62, "full"), (0.6199, "about half"), (0.4, "about half"), (0.3999, "a third or less")],
)
def test_classes_meet_at_their_bounds(scale: float, shown: str) -> None:
    assert detail_class(scale) == shown


def _found(scale: float) -> RealDetail:
    return RealDetail(scale, detail_class(scale), (), None, 0.0, 0.0, None)


def test_the_sentence_says_from_where_on_it_is_soft() -> None:
    # 6000 / 1920 = 3.125 and 4000 / 1080 = 3.7: at half of it, 1.56.
    assert _found(0.5).warning(Size(6000, 4000), Size(1920, 1080)) == (
        "6000×4000, but real detail of about half that: expect softness closer than 1.56×"
    )
    assert _found(0.3).warning(Size(6000, 4000), Size(3840, 2160)) == (
        "6000×4000, but real detail of a third of that or less: expect softness at any zoom in a 3840×2160 frame"
    )


def test_the_sharp_zoom_is_the_largest_zoom_of_the_real_pixels() -> None:
    still, frame = Size(6000, 4000), Size(1920, 1080)
    assert sharp_zoom(still, frame, 1.0) == headroom(still, frame).largest_zoom
    assert sharp_zoom(still, frame, 0.5) == headroom(Size(3000, 2000), frame).largest_zoom


@pytest.mark.parametrize("scale", [0, -0.5, 1.01, float("nan")])
def test_a_scale_outside_0_to_1_is_refused(scale: float) -> None:
    with pytest.raises(ValueError, match="above 0 and at most 1, not"):
        sharp_zoom(Size(10, 10), Size(10, 10), scale)


@pytest.mark.parametrize("patch", [np.zeros((64, 64), np.uint8), np.zeros((64, 64, 3), np.float64)])
def test_other_arrays_are_refused(patch: NDArray[Any]) -> None:
    with pytest.raises(ValueError, match="a patch is uint8 or uint16"):
        real_detail([patch])


def test_terms_are_one_the_values_and_their_products() -> None:
    assert terms(np.array([2.0, 5.0])).tolist() == [1, 2, 5, 4, 10, 25]
