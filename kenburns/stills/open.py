"""The only way from a photograph's file to facts and pixels.

What comes out is upright, full-range sRGB in three bands, whatever went in. Originals are opened for reading only.
Colour said by anything but an ICC profile (or a HEIC's or AVIF's Display P3 mark) counts as sRGB.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, cast

import numpy as np
import pyvips
from numpy.typing import NDArray

from ..errors import PhotographError
from ..motion.geometry import Corners, Size
from .convert import to_srgb
from .decode import Header, decoding, load, read_header
from .formats import FORMATS_IN_WORDS, HEAD_BYTES, sniff
from .littlecms import Intent, Samples
from .profile import Route, route_for
from .squaring import square_up, squaring
from .tiff_tags import read_tiff_tags

MAX_PIXELS = 1_500_000_000
MAX_SIDE = 100_000
MAX_SQUARED = 300_000_000
MATTE = (22, 22, 22)

# Raw sensor data travels in TIFF's clothes, with a small preview as the first picture.
RAW_SUFFIXES = frozenset(
    {
        *(".3fr", ".arw", ".cr2", ".cr3", ".dng", ".erf", ".fff", ".iiq", ".mef", ".mos"),
        *(".mrw", ".nef", ".nrw", ".orf", ".pef", ".raf", ".raw", ".rw2", ".srw", ".x3f"),
    }
)

_MODEL = "'{}' is a {} that is neither RGB, CMYK nor grey; save it as RGB"
_RAW = "'{}' is a camera's raw file; develop it and save it as TIFF or JPEG"


@dataclass(frozen=True, slots=True)
class Photograph:
    """One usable photograph file.

    `name` is how it is listed (posix path relative to its folder), `size` the oriented size in pixels, `bits` a
    sample's depth, `profile` the colour profile in words, `sha256` the file's content as hex. Of a work squared up
    from its `corners` in the upright photograph, `size` is that of the work and `taken` that of the photograph.
    """

    path: Path
    name: str
    size: Size
    format: str
    bits: int
    profile: str
    sha256: str
    corners: Corners | None = None
    taken: Size | None = None

    @property
    def photograph_size(self) -> Size:
        """Oriented size of the photograph itself."""
        return self.taken or self.size


def squared_up(photograph: Photograph, corners: Corners) -> Photograph:
    """Return the work at `corners` (pixels of the upright photograph) as a photograph of its own, squared up.

    Nothing is enlarged by that, so its size is the pixels that are there. Raises ValueError unless the corners make a
    convex quadrangle, clockwise from top left.
    """
    return replace(photograph, size=squaring(corners).size, corners=corners, taken=photograph.photograph_size)


def inspect(path: Path, name: str | None = None) -> Photograph:
    """Return the facts about a photograph from its header, and its hash; no pixel is decoded.

    Raises PhotographError with a one-line reason. Damage further inside the file shows when pixels are read.
    """
    listed = name or path.name
    kind = _recognise(path, listed)
    with decoding(listed):
        header = read_header(path, kind)
    _refuse_unusable(listed, kind, header)
    with decoding(listed), path.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    return Photograph(path, listed, _upright(header), kind, header.bits, _route(header).label, digest)


def _recognise(path: Path, name: str) -> str:
    with decoding(name), path.open("rb") as file:
        head = file.read(HEAD_BYTES)
    if not head:
        raise PhotographError(f"'{name}' is empty (0 bytes); fetch a fresh copy")
    kind = sniff(head)
    if path.suffix.lower() in RAW_SUFFIXES:
        raise PhotographError(_RAW.format(name))
    if kind == "TIFF":
        _refuse_odd_tiff(path, name)
    if kind is None:
        raise PhotographError(f"'{name}' is by its content none of the formats read; save it as {FORMATS_IN_WORDS}")
    return kind


def _refuse_odd_tiff(path: Path, name: str) -> None:
    with decoding(name):
        tags = read_tiff_tags(path)
    if tags.is_raw:
        raise PhotographError(_RAW.format(name))
    if tags.is_lab:
        raise PhotographError(_MODEL.format(name, "TIFF"))
    if not 1 <= tags.orientation <= 8:
        raise PhotographError(f"'{name}' has orientation {tags.orientation}; TIFF knows 1 to 8: save it again upright")


def _refuse_unusable(name: str, kind: str, header: Header) -> None:
    if header.width * header.height > MAX_PIXELS or max(header.width, header.height) > MAX_SIDE:
        raise PhotographError(
            f"'{name}' says that it is {header.width}×{header.height} px; at most {MAX_SIDE:,} px a side and "
            f"{MAX_PIXELS / 1e9:g} gigapixels are opened: save a smaller version"
        )
    if not header.model:
        raise PhotographError(_MODEL.format(name, kind))
    if header.sampling not in ("uchar", "ushort"):
        raise PhotographError(f"'{name}' has samples of type {header.sampling}; save it with 8 or 16 bits a sample")
    if header.hdr_curve:
        raise PhotographError(f"'{name}' is high dynamic range ({header.hdr_curve}); save a standard-range version")


def _upright(header: Header) -> Size:
    return Size(header.height, header.width) if header.is_turned else Size(header.width, header.height)


def _route(header: Header) -> Route:
    return route_for(header.profile, header.model, deep=header.sampling == "ushort", is_p3=header.is_p3)


@dataclass(frozen=True, slots=True)
class Pixels:
    """A photograph's pixels, decoded when asked for: sRGB-encoded full-range RGB with BT.709 primaries, upright.

    `dtype` is uint8 where the file has 8 bits and needs no conversion, else uint16 (white 255 or 65535).
    """

    photograph: Photograph
    matte: tuple[int, int, int]
    header: Header
    route: Route
    intent: Intent

    @property
    def size(self) -> Size:
        """Oriented size in pixels."""
        return self.photograph.size

    @property
    def dtype(self) -> np.dtype[Any]:
        """The samples' type, uint8 or uint16."""
        return np.dtype(np.uint8 if self.header.sampling == "uchar" and self.route.source is None else np.uint16)

    def strips(self, x: int, y: int, width: int, height: int, rows: int = 256) -> Iterator[tuple[int, Samples]]:
        """Yield (top row, array of shape (h, width, 3)) from top to bottom, h = `rows` but for the last.

        The rectangle and the top rows are in oriented pixels of the whole photograph. One call decodes the file
        once; an upright JPEG, PNG or TIFF is never held whole. Raises ValueError for a rectangle outside the
        picture, PhotographError where the file is damaged.
        """
        if (
            min(x, y) < 0
            or min(width, height, rows) < 1
            or x + width > self.size.width
            or y + height > self.size.height
        ):
            raise ValueError(f"{width}x{height}+{x}+{y} in strips of {rows} rows is not inside {self.size}")
        corners = self.photograph.corners
        if corners is None:
            return self._read(x, y, width, height, rows)
        return _in_strips(self._squared(corners)[y : y + height, x : x + width], y, rows)

    def _squared(self, corners: Corners) -> Samples:
        """Return the whole squared-up work: a homography needs the photograph whole."""
        taken = self.photograph.photograph_size
        if taken.width * taken.height > MAX_SQUARED:
            raise PhotographError(
                f"'{self.photograph.name}' is {taken.width}×{taken.height} px, and at most {MAX_SQUARED / 1e6:g} "
                "megapixels are squared up; take out square_up, or give the work squared up in a picture editor"
            )
        whole = np.empty((taken.height, taken.width, 3), self.dtype)
        for top, strip in self._read(0, 0, taken.width, taken.height, 256):
            whole[top : top + len(strip)] = strip
        return square_up(whole, squaring(corners))

    def _read(self, x: int, y: int, width: int, height: int, rows: int) -> Iterator[tuple[int, Samples]]:
        with decoding(self.photograph.name):
            image = self._oriented()
            region = pyvips.Region.new(image)
        for top in range(y, y + height, rows):
            with decoding(self.photograph.name):
                array = self.three_bands(_fetch(region, image, (x, top, width, min(rows, y + height - top))))
            yield top, array

    def stored_strips(self, rows: int) -> Iterator[tuple[int, Samples]]:
        """Yield (top row, samples (h, width, bands)) as stored, neither turned nor converted, from top to bottom.

        One call decodes the file once. PhotographError where it is damaged.
        """
        header = self.header
        with decoding(self.photograph.name):
            image = load(self.photograph.path, self.photograph.format, header, in_order=True)
            region = pyvips.Region.new(image)
        for top in range(0, header.height, rows):
            with decoding(self.photograph.name):
                samples = _fetch(region, image, (0, top, header.width, min(rows, header.height - top)))
            yield top, samples

    def upright(self, stored: Samples) -> Samples:
        """Return a picture that lies as the file does, turned and mirrored as its orientation says (EXIF 2.32)."""
        return _turned(stored, self.header.orientation)

    def _oriented(self) -> pyvips.Image:
        # Left-right flips keep rows in order; the other turns need the picture whole (libvips keeps a large one in
        # a temporary file).
        in_order = self.header.orientation <= 2
        return load(self.photograph.path, self.photograph.format, self.header, in_order=in_order).autorot()

    def three_bands(self, stored: Samples) -> Samples:
        """Return sRGB (h, w, 3) over the matte, for samples (h, w, bands) as they are stored.

        Alpha is applied to encoded values, as common practice has it.
        """
        colour: Samples = stored[..., : self.header.colour_bands]
        if self.route.source is not None:
            colour = to_srgb(colour, self.route.source, self.intent)
        elif colour.shape[2] == 1:
            colour = colour.repeat(3, axis=2)
        return _over(self.matte, colour, stored[..., -1]) if self.header.has_alpha else colour

    def whole(self) -> Samples:
        """Return the whole picture, shape (height, width, 3); raises PhotographError where the file is damaged."""
        picture = np.empty((self.size.height, self.size.width, 3), self.dtype)
        for top, strip in self.strips(0, 0, self.size.width, self.size.height):
            picture[top : top + len(strip)] = strip
        return picture


def _in_strips(picture: Samples, first: int, rows: int) -> Iterator[tuple[int, Samples]]:
    for top in range(0, len(picture), rows):
        yield first + top, picture[top : top + rows]


def _turned(stored: Samples, orientation: int) -> Samples:
    picture = stored.swapaxes(0, 1) if orientation >= 5 else stored
    if orientation in (3, 4, 7, 8):
        picture = picture[::-1]
    if orientation in (2, 3, 6, 7):
        picture = picture[:, ::-1]
    return cast(Samples, np.ascontiguousarray(picture))


def _fetch(region: pyvips.Region, image: pyvips.Image, area: tuple[int, int, int, int]) -> Samples:
    """Decode one rectangle (x, y, width, height); return its samples as stored, shape (height, width, bands)."""
    stored = region.fetch(*area)
    samples: Samples = np.frombuffer(stored, np.uint8) if image.format == "uchar" else np.frombuffer(stored, np.uint16)
    return samples.reshape(area[3], area[2], image.bands)


def _over(matte: tuple[int, int, int], colour: Samples, alpha: Samples) -> Samples:
    """Lay sRGB (h, w, 3) over the matte; alpha (h, w) has the depth of the file."""
    share = (alpha / np.float32(np.iinfo(alpha.dtype).max))[..., None]
    top = np.iinfo(colour.dtype).max
    ground = np.array([level * top / 255 for level in matte], np.float32)
    laid = colour.copy()
    np.rint(ground + (colour - ground) * share, out=laid, casting="unsafe")
    return laid


def open_pixels(photograph: Photograph, matte: tuple[int, int, int] = MATTE, intent: Intent = "relative") -> Pixels:
    """Return the photograph's pixels, transparent parts laid over `matte` (sRGB, 8-bit); nothing is decoded yet.

    Colours that sRGB cannot show are mapped by `intent`: "relative" changes only them, "perceptual" makes room for
    them.

    Raises PhotographError where the file can no longer be read or is another than at `inspect`.
    """
    with decoding(photograph.name):
        header = read_header(photograph.path, photograph.format)
    if _upright(header) != photograph.photograph_size:
        was = photograph.photograph_size
        raise PhotographError(f"'{photograph.name}' was {was} px and is now {_upright(header)}; run again")
    return Pixels(photograph, matte, header, _route(header), intent)


def eight_bits(samples: Samples) -> NDArray[np.uint8]:
    """Return samples of 8 or 16 bits, white 255 or 65535, as 8 bits."""
    if samples.dtype == np.uint8:
        return samples.astype(np.uint8, copy=False)
    return ((samples.astype(np.uint32) + 128) // 257).astype(np.uint8)
