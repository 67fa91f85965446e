"""Every clip is read back: size, rate, frame count, colour tags, samples."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from kenburns.errors import RenderError
from kenburns.motion.geometry import Rect, Size, bounds
from kenburns.presets import codec, names
from kenburns.render.clip import Recipe, frames_ahead, write_clip
from kenburns.render.encode import BT709, NARROW, ClipWriter, Encoding, planes, raster_for
from kenburns.render.levels import needed_areas
from kenburns.render.pyramid import build

FRAME = Size(320, 180)
RATES = ["24000/1001", "24", "25", "30000/1001", "30", "50", "60000/1001", "60"]


def recipe(name: str, rate: Fraction = Fraction(25)) -> Recipe:
    preset = codec(name)
    encoding = Encoding(preset.encoder, preset.container, preset.pixel_format, preset.options)
    raster = raster_for(preset.pixel_format, FRAME, preset.dither)
    return Recipe(raster, encoding, rate, preset.kernel, (22, 22, 22))


def write(path: Path, picture: NDArray[np.uint8], views: list[Rect], how: Recipe) -> None:
    size = Size(picture.shape[1], picture.shape[0])
    pyramid = build([picture], needed_areas(views, FRAME, size), size, how.raster.sampling)
    write_clip(path, pyramid, [(view,) for view in views], how, (), lambda _done: None)


def to_rgb(frame: av.VideoFrame) -> NDArray[np.float64]:
    """R'G'B' in 0..255 by Rec. ITU-R BT.709-6, items 3.2 to 3.5 and table 4; chroma repeated.

    In float: libswscale's quick conversions to RGB are off by up to three codes themselves.
    """
    unit = 1 << (frame.format.components[0].bits - 8)
    y, cb, cr = (np.asarray(plane, float) / unit for plane in planes(frame))
    luma = (y - 16) / 219
    blue, red = (
        np.kron((c - 128) / 224, np.ones((y.shape[0] // c.shape[0], y.shape[1] // c.shape[1]))) for c in (cb, cr)
    )
    r, b = luma + 1.5748 * red, luma + 1.8556 * blue
    return np.stack([r, (luma - 0.2126 * r - 0.0722 * b) / 0.7152, b], axis=-1) * 255


@dataclass(frozen=True)
class Facts:
    """What a clip says of itself; copied, as PyAV's objects are empty once the file is closed."""

    size: tuple[int, int]
    pixel_format: str | None
    rate: Fraction | None
    tags: tuple[int, int, int, int]


def read(path: Path) -> tuple[Facts, list[NDArray[Any]], list[Fraction]]:
    with av.open(str(path)) as container:
        stream = container.streams.video[0]
        frames: list[NDArray[Any]] = []
        times: list[Fraction] = []
        for frame in container.decode(stream):
            frames.append(to_rgb(frame))
            assert frame.pts is not None
            assert frame.time_base is not None
            times.append(frame.pts * frame.time_base)
        context = stream.codec_context
        tags = (context.color_primaries, context.color_trc, context.colorspace, context.color_range)
        facts = Facts((context.width, context.height), context.pix_fmt, stream.average_rate, tags)
        return facts, frames, times


@pytest.mark.parametrize("name", names("codecs"))
@pytest.mark.parametrize("rate", ["25", "24000/1001"])
def test_a_clip_reads_back_with_its_frames_size_rate_and_tags(tmp_path: Path, name: str, rate: str) -> None:
    """Colour tags by Rec. ITU-T H.273: BT.709 is code 1 for primaries, transfer and matrix."""
    path = tmp_path / f"clip.{codec(name).extension}"
    picture = np.random.default_rng(0).integers(0, 256, (360, 640, 3), np.uint8)
    write(path, picture, [Rect(i * 0.5, 0, 320, 180) for i in range(13)], recipe(name, Fraction(rate)))
    facts, frames, times = read(path)
    assert len(frames) == 13
    assert facts == Facts((320, 180), codec(name).pixel_format, Fraction(rate), (BT709, BT709, BT709, NARROW))
    # Matroska counts in milliseconds, so its times are the nearest of those.
    assert [round(time * Fraction(rate)) for time in times] == list(range(13))


@pytest.mark.parametrize("rate", RATES)
def test_every_rate_is_kept_exactly(tmp_path: Path, rate: str) -> None:
    path = tmp_path / "clip.mov"
    write(path, np.zeros((180, 320, 3), np.uint8), [bounds(FRAME)] * 5, recipe("edit", Fraction(rate)))
    facts, _, times = read(path)
    assert facts.rate == Fraction(rate)
    assert times == [frame / Fraction(rate) for frame in range(5)]


@pytest.mark.parametrize("name", names("codecs"))
@pytest.mark.parametrize("colour", [(255, 255, 255), (0, 0, 0), (200, 30, 90), (250, 128, 114), (12, 90, 160)])
def test_a_flat_patch_comes_back_within_one_code_of_255(
    tmp_path: Path, name: str, colour: tuple[int, int, int]
) -> None:
    """The mean of the patch: 8-bit codes alone are up to 1.8/255 apart in red and blue, their dither is not."""
    path = tmp_path / f"clip.{codec(name).extension}"
    write(path, np.full((180, 320, 3), colour, np.uint8), [bounds(FRAME)] * 3, recipe(name))
    for frame in read(path)[1]:
        assert np.abs(frame.mean(axis=(0, 1)) - colour).max() <= 1


def test_the_first_and_last_frame_are_the_first_and_last_view(tmp_path: Path) -> None:
    path = tmp_path / "clip.mkv"
    picture = np.zeros((180, 640, 3), np.uint8)
    picture[:, :320, 0], picture[:, 320:, 2] = 255, 255
    write(path, picture, [Rect(x, 0, 320, 180) for x in (0, 100, 320)], recipe("archive"))
    frames = read(path)[1]
    assert (frames[0][:, :300, 0] > 254).all()
    assert (frames[-1][:, 20:, 2] > 254).all()


def test_the_same_frames_give_the_same_bytes(tmp_path: Path) -> None:
    picture = np.random.default_rng(1).integers(0, 256, (180, 320, 3), np.uint8)
    contents = set()
    for name in ("a", "b"):
        write(tmp_path / f"{name}.mov", picture, [bounds(FRAME)] * 4, recipe("edit"))
        contents.add((tmp_path / f"{name}.mov").read_bytes())
    assert len(contents) == 1


@pytest.mark.parametrize(
    ("name", "size"), [("review", Size(720, 406)), *((name, Size(330, 180)) for name in names("codecs"))]
)
def test_frames_of_a_width_that_processors_like_less_give_the_same_bytes_too(
    tmp_path: Path, name: str, size: Size
) -> None:
    # Widths that are no multiple of 64 are where an encoder's widest instructions differ
    how = recipe(name)
    codes, contents = 1 << how.raster.bits, set()
    for number in range(5):
        path, rng = tmp_path / f"{number}", np.random.default_rng(0)
        with ClipWriter(path, how.encoding, size, how.rate) as clip:
            for _ in range(6):
                frame = clip.blank()
                for samples in planes(frame):
                    coarse = rng.integers(codes // 16, codes * 15 // 16, [side // 8 + 1 for side in samples.shape])
                    samples[:] = coarse.repeat(8, 0).repeat(8, 1)[: samples.shape[0], : samples.shape[1]]
                clip.write(frame)
        contents.add(path.read_bytes())
    assert len(contents) == 1


def test_a_clip_that_fails_leaves_what_stood_there(tmp_path: Path) -> None:
    path = tmp_path / "clip.mov"
    path.write_bytes(b"the old clip")
    picture = np.zeros((180, 320, 3), np.uint8)

    def stop(_done: int) -> None:
        raise RenderError("stopped on purpose")

    how = recipe("edit")
    pyramid = build([picture], needed_areas([bounds(FRAME)], FRAME, FRAME), FRAME, how.raster.sampling)
    with pytest.raises(RenderError, match="on purpose"):
        write_clip(path, pyramid, [(bounds(FRAME),)] * 4, how, (), stop)
    assert path.read_bytes() == b"the old clip"
    assert list(tmp_path.iterdir()) == [path]


def test_an_encoder_that_refuses_the_frame_is_named(tmp_path: Path) -> None:
    encoding = Encoding("dnxhd", "mov", "yuv422p10le", {"profile": "dnxhr_hqx"})
    with pytest.raises(RenderError, match=r"'x.mov' cannot be written as dnxhd 64x64"):
        ClipWriter(tmp_path / "x.mov", encoding, Size(64, 64), Fraction(25))


@pytest.mark.parametrize("pixel_format", ["rgb24", "nv12", "gray"])
def test_only_planar_luma_and_chroma_is_drawn(pixel_format: str) -> None:
    with pytest.raises(ValueError, match="planar Y'CbCr"):
        raster_for(pixel_format, FRAME, False)


@pytest.mark.parametrize("name", names("codecs"))
def test_a_repeated_frame_reads_back_like_one_that_was_written(tmp_path: Path, name: str) -> None:
    """Also where its bytes are written again and the encoder never sees it: frames and times are as if it had."""
    path = tmp_path / f"clip.{codec(name).extension}"
    picture = np.random.default_rng(2).integers(60, 190, (180, 640, 3), np.uint8)
    views = [Rect(x, 0, 320, 180) for x in (0, 0, 0, 40, 40, 90, 0, 0)]
    write(path, picture, views, recipe(name))
    _, frames, times = read(path)
    assert [round(time * 25) for time in times] == list(range(8))
    for view, frame in zip(views, frames, strict=True):
        whole = frame.mean(axis=0) - picture[:, int(view.x) : int(view.x) + 320].mean(axis=0)
        assert np.abs(whole.mean()) < 2
    distances = [float(np.abs(after - before).mean()) for before, after in itertools.pairwise(frames)]
    still = [views[i] == views[i + 1] for i in range(7)]
    assert max(d for d, held in zip(distances, still, strict=True) if held) < min(
        d for d, held in zip(distances, still, strict=True) if not held
    )


def test_nothing_can_be_repeated_before_the_first_frame(tmp_path: Path) -> None:
    how = recipe("edit")
    with (
        pytest.raises(ValueError, match="no frame yet"),
        ClipWriter(tmp_path / "x.mov", how.encoding, FRAME, Fraction(25)) as clip,
    ):
        clip.repeat()


@pytest.mark.parametrize(
    ("size", "pixel_format", "frames"),
    [((1920, 1080), "yuv420p", 8), ((1920, 1080), "yuv422p10le", 8), ((3840, 2160), "yuv422p10le", 2)],
)
def test_large_frames_wait_in_smaller_numbers(size: tuple[int, int], pixel_format: str, frames: int) -> None:
    """64 MiB at most: 8 frames of 8.3 MB, or 2 of 33 MB."""
    assert frames_ahead(raster_for(pixel_format, Size(*size), False)) == frames
