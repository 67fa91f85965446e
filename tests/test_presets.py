"""Presets against the standards they name, against the encoders they name, and what their messages say."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from kenburns.cards.look import Look
from kenburns.errors import KenburnsError, OptionError, PresetError
from kenburns.motion.geometry import Size
from kenburns.presets import DEFAULTS, Family, card_look, codec, frame_size, names, pacing, require_frame
from kenburns.resources import resource_folder

FAMILIES: tuple[Family, ...] = ("frames", "codecs", "pacing", "cards")


def write(folder: Path, name: str, text: str) -> Path:
    """Write a preset of a film's own and return the folder of its presets."""
    (folder / name).parent.mkdir(parents=True, exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")
    return folder


# --- frames


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("hd", Size(1920, 1080)),  # SMPTE ST 274; ITU-R BT.709-6, part 2
        ("uhd", Size(3840, 2160)),  # SMPTE ST 2036-1, UHDTV1; ITU-R BT.2020-2, table 1
        ("dci-2k", Size(2048, 1080)),  # DCI Digital Cinema System Specification; SMPTE ST 428-1
        ("dci-4k", Size(4096, 2160)),  # the same
        ("vertical-hd", Size(1080, 1920)),  # common practice
        ("square-hd", Size(1080, 1080)),  # common practice
    ],
)
def test_frames_have_the_sides_their_standards_give(name: str, size: Size) -> None:
    assert frame_size(name) == size


def test_these_are_all_the_frames() -> None:
    assert names("frames") == ("dci-2k", "dci-4k", "hd", "square-hd", "uhd", "vertical-hd")


@pytest.mark.parametrize("text", ["1920x1080", "1920×1080", "1920X1080", " 1920 x 1080 ", "HD", " hd"])
def test_a_frame_may_be_written_as_people_write_it(text: str) -> None:
    assert frame_size(text) == Size(1920, 1080)


@given(st.integers(32, 8192).map(lambda n: 2 * n), st.integers(32, 8192).map(lambda n: 2 * n))
def test_every_even_size_from_64_to_16384_comes_back(width: int, height: int) -> None:
    assert frame_size(str(Size(width, height))) == Size(width, height)


@pytest.mark.parametrize(
    ("text", "would_work"),
    [
        ("1921x1080", "1922x1080"),
        ("1920x1079", "1920x1080"),
        ("0x0", "64x64"),
        ("20000x1080", "16384x1080"),
        ("62x64", "64x64"),
    ],
)
def test_sides_that_break_the_rule_are_refused_with_a_size_that_works(text: str, would_work: str) -> None:
    with pytest.raises(OptionError, match=rf"^frame '{text}'.*even.*64 to 16384.* {would_work} would work$"):
        frame_size(text)
    assert str(frame_size(would_work)) == would_work


def test_an_unknown_frame_names_the_nearest_presets() -> None:
    with pytest.raises(OptionError, match=r"frame 'verticle-hd' is neither.*perhaps vertical-hd.*there are dci-2k"):
        frame_size("verticle-hd")


@given(st.text(max_size=12))
def test_any_text_is_a_frame_or_an_option_error(text: str) -> None:
    try:
        size = frame_size(text)
    except OptionError:
        size = Size(2, 2)
    assert size.width % 2 == size.height % 2 == 0


# --- codecs


def encode(path: Path, name: str, size: Size, count: int = 3) -> None:
    chosen = codec(name)
    with av.open(str(path), "w", format=chosen.container) as out:
        stream = out.add_stream(chosen.encoder, rate=25, options=dict(chosen.options))
        assert isinstance(stream, av.VideoStream)
        stream.width, stream.height, stream.pix_fmt = size.width, size.height, chosen.pixel_format
        picture = np.random.default_rng(3).integers(0, 256, (size.height, size.width, 3), dtype=np.uint8)
        for index in range(count):
            frame = av.VideoFrame.from_ndarray(picture, format="rgb24").reformat(format=chosen.pixel_format)
            frame.pts, frame.time_base = index, Fraction(1, 25)
            out.mux(stream.encode(frame))
        out.mux(stream.encode())


@pytest.mark.parametrize(
    ("name", "decoder", "pixel_format", "profile"),
    [
        ("review", "h264", "yuv420p", "High"),
        ("edit", "dnxhd", "yuv422p10le", "DNXHR HQX"),
        ("edit-rdd36", "prores", "yuv422p10le", "HQ"),
        ("archive", "ffv1", "yuv444p10le", None),
    ],
)
def test_every_codec_opens_its_encoder_and_its_frames_come_back(
    tmp_path: Path, name: str, decoder: str, pixel_format: str, profile: str | None
) -> None:
    chosen = codec(name)
    path = tmp_path / f"clip.{chosen.extension}"
    encode(path, name, Size(256, 144))
    with av.open(str(path)) as clip:
        stream = clip.streams.video[0]
        assert sum(1 for _ in clip.decode(stream)) == 3
        assert (stream.codec_context.name, stream.pix_fmt) == (decoder, pixel_format)
        assert stream.codec_context.profile == profile
    assert (chosen.name, chosen.pixel_format) == (name, pixel_format)


def test_every_frame_of_the_intraframe_codecs_stands_alone(tmp_path: Path) -> None:
    for name in ("edit", "edit-rdd36", "archive"):
        path = tmp_path / f"{name}.{codec(name).extension}"
        encode(path, name, Size(256, 144))
        with av.open(str(path)) as clip:
            assert [packet.is_keyframe for packet in clip.demux(video=0) if packet.size] == [True] * 3


def test_each_codec_writes_the_kind_of_file_it_promises() -> None:
    kinds = {name: codec(name).extension for name in names("codecs")}
    assert kinds == {"review": "mp4", "edit": "mov", "edit-rdd36": "mov", "archive": "mkv"}


def test_these_are_all_the_codecs_and_edit_is_the_default() -> None:
    assert names("codecs") == ("archive", "edit", "edit-rdd36", "review")
    assert DEFAULTS["codecs"] == "edit"


def test_the_archive_planes_return_every_8_bit_colour() -> None:
    # Recommendation ITU-R BT.709-6: items 3.2 to 3.4, narrow range at 10 bit: Y' = 876 E'Y + 64, C' = 896 E'C + 512.
    ramp = np.arange(256, dtype=np.float64) / 255
    green, blue = ramp[:, None], ramp[None, :]
    for red in ramp[::5]:
        luma = 0.2126 * red + 0.7152 * green + 0.0722 * blue
        stored = np.round(876 * luma), np.round(896 * (blue - luma) / 1.8556), np.round(896 * (red - luma) / 1.5748)
        luma, cb, cr = stored[0] / 876, stored[1] / 896, stored[2] / 896
        back_red, back_blue = luma + 1.5748 * cr, luma + 1.8556 * cb
        back_green = (luma - 0.2126 * back_red - 0.0722 * back_blue) / 0.7152
        for back, wanted in ((back_red, red), (back_green, green), (back_blue, blue)):
            assert np.abs(back - wanted).max() < 0.5 / 255


def test_a_frame_smaller_than_the_encoder_takes_is_refused_before_anything_is_made(tmp_path: Path) -> None:
    require_frame(codec("edit"), Size(256, 120))
    encode(tmp_path / "least.mov", "edit", Size(256, 120))
    for small in (Size(254, 120), Size(256, 118)):
        with pytest.raises(OptionError, match=f"frame {small}: codec 'edit' needs at least 256x120 px"):
            require_frame(codec("edit"), small)
        with pytest.raises(av.FFmpegError):
            encode(tmp_path / "small.mov", "edit", small)


# --- pacing and cards


def test_steady_is_the_default_and_lets_a_frame_width_pass_in_no_less_than_seven_seconds() -> None:
    # Seven seconds at 24 to 30 frames a second: film panning tables, common practice.
    assert names("pacing") == ("free", "gentle", "steady")
    assert DEFAULTS["pacing"] == "steady"
    steady = pacing("steady")
    assert (steady.speed_seconds, steady.head, steady.tail, steady.rest) == (7.0, 0.4, 0.4, 1.2)
    assert (steady.easing, steady.depth, steady.length, steady.zoom) == ("sine", 1.25, 6.0, 1.5)


def test_gentle_is_slower_and_longer_at_rest_than_steady_and_free_has_no_limit() -> None:
    steady, gentle = pacing("steady"), pacing("gentle")
    assert gentle.speed_seconds == 12.0
    assert gentle.easing == "minimum-jerk"
    assert min(gentle.head, gentle.tail) > max(steady.head, steady.tail)
    assert gentle.rest > steady.rest
    assert pacing("free").speed_seconds == 0


def test_the_plain_card_is_the_look_that_cards_have_without_a_preset() -> None:
    assert card_look("plain") == Look()


def test_a_card_below_seven_to_one_is_refused_in_the_name_of_its_file(tmp_path: Path) -> None:
    # WCAG 2.2's own neighbourhood: #767676 on white is the well-known 4.54:1.
    text = (resource_folder("presets") / "cards" / "plain.toml").read_text(encoding="utf-8")
    pale = text.replace('"#161616"', '"#ffffff"').replace('"#f0f0f0"', '"#767676"')
    extra = write(tmp_path, "cards/pale.toml", pale)
    with pytest.raises(PresetError, match=r"^'pale\.toml': ink #767676 on ground #ffffff .* 4\.54:1.*at least 7:1"):
        card_look("pale", extra)


# --- files and names


@pytest.mark.parametrize("family", FAMILIES)
def test_every_packed_preset_says_in_comments_what_it_is(family: Family) -> None:
    files = list((resource_folder("presets") / family).glob("*.toml"))
    assert sorted(path.stem for path in files) == list(names(family))
    for path in files:
        text = path.read_text(encoding="utf-8")
        assert text.startswith("# ")
        assert max(map(len, text.splitlines())) <= 120


def test_presets_are_read_only() -> None:
    with pytest.raises(ValidationError):
        pacing("steady").depth = 3.0  # type: ignore[misc]  # the point of the test


def test_a_name_that_is_in_no_folder_is_told_the_known_ones() -> None:
    with pytest.raises(
        PresetError, match=r"no codec preset is named 'edti'; perhaps edit.*there are archive, edit, edit"
    ):
        codec("edti")
    with pytest.raises(
        PresetError, match=r"no pacing preset is named '\.\./frames/hd'; there are free, gentle, steady"
    ):
        pacing("../frames/hd")
    with pytest.raises(PresetError, match=r"no card look preset is named ''; there are plain"):
        card_look("")


# --- where they lie


def test_a_wheel_holds_its_folders_inside_and_they_come_first(tmp_path: Path) -> None:
    package = tmp_path / "kenburns"
    (tmp_path / "presets").mkdir()
    assert resource_folder("presets", package) == tmp_path / "presets"
    (package / "packed" / "presets").mkdir(parents=True)
    assert resource_folder("presets", package) == package / "packed" / "presets"


def test_a_missing_folder_is_said(tmp_path: Path) -> None:
    with pytest.raises(KenburnsError, match="'shared' is missing"):
        resource_folder("shared", tmp_path / "kenburns")
