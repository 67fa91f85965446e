"""The demo film: its lists hold together, and its photographs come out as its README says."""

from __future__ import annotations

import csv
import importlib
import io
import re
import warnings
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import pyvips
from PIL import Image, ImageCms

from shared import files, gouaches, icc
from shared.paint import BROKEN, PHOTOGRAPHS

SHARED = Path(__file__).parents[1] / "shared"
RATE = 25
MOVES = {"", "hold", "push in", "pull out", "pan", "tilt", "tour", "whole, then detail"}

# file: format as Pillow names it, mode, stored width and height, as in shared/README.md
STORED = {
    "IMG_4471.jpg": ("JPEG", "RGB", (6000, 4000)),
    "tide_tables_drawing_scan_grey.jpg": ("JPEG", "L", (2600, 3500)),
    "nets-drying_WEB.webp": ("WEBP", "RGB", (3600, 2700)),
    "FerryHall_floor_CMYK_print.jpg": ("JPEG", "CMYK", (3600, 2400)),
    "Nine Signals 7-30 (P3).jpg": ("JPEG", "RGB", (3000, 3000)),
    "no 7 - shoal.png": ("PNG", "RGBA", (2800, 2800)),
    "what the sea lends.avif": ("AVIF", "RGB", (3840, 2460)),
    "oldslip_small.jpg": ("JPEG", "RGB", (1200, 800)),
    "DSC0187 winter allotment.JPG": ("JPEG", "RGB", (2400, 1700)),
    "ebb II.jpg": ("JPEG", "RGB", (3200, 2400)),
    "marram pastel.jpg": ("JPEG", "RGB", (3000, 2000)),
}


@pytest.fixture(scope="session")
def folder(demo_photographs: Path) -> Path:
    return demo_photographs


def rows(name: str) -> list[dict[str, str]]:
    with (SHARED / name).open(newline="", encoding="utf-8") as lines:
        return list(csv.DictReader(lines, strict=True))


def frames(timecode: str) -> int:
    hours, minutes, seconds, count = (int(part) for part in timecode.split(":"))
    assert minutes < 60
    assert seconds < 60
    assert count < RATE
    return ((hours * 60 + minutes) * 60 + seconds) * RATE + count


def profile_name(data: bytes) -> str:
    return ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(io.BytesIO(data))).strip()


def test_the_folder_holds_exactly_the_named_photographs(folder: Path) -> None:
    assert {path.name for path in folder.iterdir()} == {*PHOTOGRAPHS, BROKEN}


@pytest.mark.parametrize("name", STORED)
def test_each_photograph_has_its_format_mode_and_size(folder: Path, name: str) -> None:
    with Image.open(folder / name) as image:
        assert (image.format, image.mode, image.size) == STORED[name]


@pytest.mark.parametrize("name", [*STORED, "Kestrel_Kitchen_final_v2.tif"])
def test_each_photograph_decodes_whole_and_has_detail_at_full_size(folder: Path, name: str) -> None:
    image = pyvips.Image.new_from_file(str(folder / name), fail_on="warning", access="sequential")
    middle = image.crop(image.width // 2 - 128, image.height // 2 - 128, 256, 256)[0].cast("float")
    pixels = middle.numpy() / (257 if image.format == "ushort" else 1)
    assert np.abs(np.diff(pixels, axis=1)).mean() > 1.0  # levels of 255 from a pixel to the next: not a flat field


def test_the_upright_photograph_lies_on_its_side_and_names_its_photographer(folder: Path) -> None:
    with Image.open(folder / "IMG_4471.jpg") as image:
        exif = image.getexif()
    # Exif 2.3, 4.6.4: orientation 6 means that the stored row 0 is the visual right-hand side
    assert exif[0x0112] == 6
    assert exif[0x013B] == "Tamsin Orrelby"
    turned = pyvips.Image.new_from_file(str(folder / "IMG_4471.jpg"), access="random").autorot()
    assert (turned.width, turned.height) == (4000, 6000)
    sky, rocks = turned.crop(1000, 900, 400, 200).avg(), turned.crop(500, 5200, 400, 200).avg()
    assert sky > rocks  # the right way up, the sky is above and lighter


def test_the_deep_photograph_has_sixteen_bits_and_the_wide_gamut_profile(folder: Path) -> None:
    image = pyvips.Image.new_from_file(str(folder / "Kestrel_Kitchen_final_v2.tif"))
    assert (image.width, image.height, image.bands, image.format) == (3600, 2700, 3, "ushort")
    assert profile_name(image.get("icc-profile-data")) == "opRGB (IEC 61966-2-5)"
    assert len(np.unique(image.crop(1000, 1000, 200, 200).numpy())) > 256  # more levels than 8 bits have


def test_the_print_separation_and_the_display_photograph_carry_profiles_of_their_kind(folder: Path) -> None:
    expected = {"FerryHall_floor_CMYK_print.jpg": b"CMYK", "Nine Signals 7-30 (P3).jpg": b"RGB "}
    for name, space in expected.items():
        with Image.open(folder / name) as image:
            assert image.info["icc_profile"][16:20] == space  # ICC.1:2001-04, 6.1.5: data colour space, bytes 16-19


def test_the_display_photograph_has_colours_outside_srgb(folder: Path) -> None:
    image = pyvips.Image.new_from_file(str(folder / "Nine Signals 7-30 (P3).jpg"))
    wide = image.crop(1250, 300, 100, 60).icc_import(embedded=True).colourspace("scrgb").numpy()
    assert wide[..., 2].mean() < -0.01  # the yellow needs less blue than sRGB has


def test_the_cut_out_has_clear_corners_and_a_solid_middle(folder: Path) -> None:
    alpha = pyvips.Image.new_from_file(str(folder / "no 7 - shoal.png"))[3]
    assert [alpha(x, y)[0] for x, y in ((0, 0), (2799, 0), (0, 2799), (1400, 1400))] == [0, 0, 0, 255]


def test_the_broken_photograph_names_a_size_but_cannot_be_read_to_its_end(folder: Path) -> None:
    with Image.open(folder / BROKEN) as image:
        assert image.size == (2400, 1700)
        with pytest.raises(OSError, match="truncated"):
            image.load()


def test_the_same_seed_gives_the_same_bytes(folder: Path, tmp_path: Path) -> None:
    again = files.jpeg(tmp_path / "again.jpg", gouaches.old_slip(), quality=80)
    assert again.read_bytes() == (folder / "oldslip_small.jpg").read_bytes()


def test_the_wide_gamut_matrix_is_the_reference_librarys() -> None:
    # colour-science 0.4: the space of these primaries, adapted to D50 by the same linear Bradford transform
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns at import where matplotlib is missing, which is not needed here
        colour = importlib.import_module("colour")
    space = colour.RGB_COLOURSPACES["Adobe RGB (1998)"]
    np.testing.assert_allclose(space.whitepoint, icc.WHITE, atol=1e-4)
    np.testing.assert_allclose(space.primaries, icc.PRIMARIES, atol=1e-12)
    white = np.array([0.3127 / 0.3290, 1, (1 - 0.3127 - 0.3290) / 0.3290])
    adapt = colour.adaptation.matrix_chromatic_adaptation_VonKries(white, np.array(icc.D50), transform="Bradford")
    np.testing.assert_allclose(icc.colourants(), adapt @ space.matrix_RGB_to_XYZ, atol=2e-4)
    # from memory, the matrix that profiles of this space commonly hold: red's X and green's Y
    np.testing.assert_allclose(icc.colourants()[[0, 1], [0, 1]], (0.60974, 0.62567), atol=2e-4)


@pytest.mark.parametrize("patch", [(255, 255, 255), (128, 128, 128), (180, 120, 90), (70, 110, 140)])
def test_a_colour_engine_reads_the_profile_as_the_standard_says(patch: tuple[int, int, int]) -> None:
    source = ImageCms.ImageCmsProfile(io.BytesIO(icc.op_rgb()))
    transform: Any = ImageCms.buildTransform(source, ImageCms.createProfile("sRGB"), "RGB", "RGB")
    shown = ImageCms.applyTransform(Image.new("RGB", (1, 1), patch), transform)
    assert shown is not None
    # IEC 61966-2-5 decoding, then IEC 61966-2-1 encoding; the matrix from opRGB to sRGB primaries, both D65
    linear = (np.array(patch) / 255) ** icc.EXPONENT
    to_srgb = np.array([(1.3984, -0.3984, 0.0), (0.0, 1.0, 0.0), (0.0, -0.0429, 1.0429)])
    red, green, blue = np.clip(to_srgb @ linear, 0, 1)
    expected = [255 * (12.92 * c if c <= 0.0031308 else 1.055 * c ** (1 / 2.4) - 0.055) for c in (red, green, blue)]
    np.testing.assert_allclose(np.asarray(shown)[0, 0], expected, atol=1.01)


def test_slots_are_numbered_in_order_do_not_overlap_and_last_two_to_five_seconds() -> None:
    slots = rows("cutlist.csv")
    assert [slot["slot"] for slot in slots] == [f"{k:02}" for k in range(1, len(slots) + 1)]
    ends = 0
    for slot in slots:
        start, end = frames(slot["start"]), frames(slot["end"])
        assert start > ends
        assert 2 <= Fraction(end - start, RATE) <= 5
        ends = end


def test_every_row_has_every_cell_and_every_shot_is_a_move_the_tool_knows() -> None:
    for slot in rows("cutlist.csv"):
        assert None not in slot.values()
        assert None not in slot
        assert slot["shot"] in MOVES
        assert slot["wanted"]


def test_all_works_but_the_one_not_yet_arrived_name_a_photograph_in_the_folder(folder: Path) -> None:
    works = rows("works.csv")
    missing = [work["title"] for work in works if not work["file"]]
    assert missing == ["Black Water, White Hull"]
    assert all((folder / work["file"]).is_file() for work in works if work["file"])
    assert [int(work["number"]) for work in works] == list(range(1, len(works) + 1))
    assert all(float(work["height cm"]) > 0 and float(work["width cm"]) > 0 for work in works)


def test_captions_have_their_times_in_order_and_cover_every_slot() -> None:
    text = (SHARED / "captions.vtt").read_text(encoding="utf-8")
    assert text.startswith("WEBVTT\n\n")  # W3C WebVTT, 4.1: signature, then a blank line
    stamp = r"(\d\d):(\d\d):(\d\d)\.(\d\d\d)"
    cues = [
        (_seconds(match[:4]), _seconds(match[4:]))
        for match in re.findall(rf"^{stamp} --> {stamp}$", text, re.MULTILINE)
    ]
    times = [moment for cue in cues for moment in cue]
    assert times == sorted(times)
    for slot in rows("cutlist.csv"):
        middle = Fraction(frames(slot["start"]) + frames(slot["end"]), 2 * RATE)
        assert any(start <= middle <= end for start, end in cues), slot["slot"]


def _seconds(parts: tuple[str, ...]) -> Fraction:
    hours, minutes, seconds, thousandths = (int(part) for part in parts)
    return Fraction(((hours * 60 + minutes) * 60 + seconds) * 1000 + thousandths, 1000)
