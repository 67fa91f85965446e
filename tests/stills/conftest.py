"""Small pictures and colour profiles, made from published numbers."""

from __future__ import annotations

import struct
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

Curve = Callable[[NDArray[np.float64]], NDArray[np.float64]]

D50 = np.array([0.9642, 1.0, 0.8249])  # ISO 15076-1 §7.2.16
D65 = (0.3127, 0.3290)
BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])  # its annex E


@dataclass(frozen=True)
class Space:
    """An RGB space: chromaticities of its primaries and white, and its curve from encoded to linear."""

    primaries: tuple[tuple[float, float], tuple[float, float], tuple[float, float]]
    white: tuple[float, float]
    linear: Curve

    def to_d50(self) -> NDArray[np.float64]:
        """Linear RGB to XYZ, adapted to D50."""
        unscaled = np.array([_xyz(xy) for xy in self.primaries]).T
        white = _xyz(self.white)
        gain = np.diag((BRADFORD @ D50) / (BRADFORD @ white))
        adapted: NDArray[np.float64] = (
            np.linalg.inv(BRADFORD) @ gain @ BRADFORD @ (unscaled * np.linalg.solve(unscaled, white))
        )
        return adapted


def _xyz(xy: tuple[float, float]) -> NDArray[np.float64]:
    return np.array([xy[0] / xy[1], 1.0, (1 - xy[0] - xy[1]) / xy[1]])


def _srgb_linear(value: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def _romm_linear(value: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.where(value < 16 / 512, value / 16, value**1.8)


SPACES = {
    # IEC 61966-2-1
    "sRGB": Space(((0.64, 0.33), (0.30, 0.60), (0.15, 0.06)), D65, _srgb_linear),
    # IEC 61966-2-5
    "opRGB": Space(((0.64, 0.33), (0.21, 0.71), (0.15, 0.06)), D65, lambda v: v ** (563 / 256)),
    # ISO 22028-2 (ROMM RGB)
    "ROMM": Space(((0.7347, 0.2653), (0.1596, 0.8404), (0.0366, 0.0001)), (0.3457, 0.3585), _romm_linear),
    # primaries SMPTE EG 432-1, curve and white of IEC 61966-2-1
    "Display P3": Space(((0.68, 0.32), (0.265, 0.69), (0.15, 0.06)), D65, _srgb_linear),
}


def _fixed(value: float) -> bytes:
    return struct.pack(">i", round(value * 65536))


def _xyz_tag(value: NDArray[np.float64]) -> bytes:
    return b"XYZ \0\0\0\0" + b"".join(_fixed(float(v)) for v in value)


def _curve_tag(linear: Curve) -> bytes:
    table = np.round(65535 * linear(np.linspace(0, 1, 4096))).astype(">u2")
    return b"curv\0\0\0\0" + struct.pack(">I", table.size) + table.tobytes()


def _name_tag(text: str) -> bytes:
    return b"desc\0\0\0\0" + struct.pack(">I", len(text) + 1) + text.encode() + bytes(1 + 8 + 3 + 67)


def icc_profile(space: bytes, name: str, tags: Mapping[bytes, bytes], pcs: bytes = b"XYZ ") -> bytes:
    """Lay out a version 2.4 display profile (ICC.1:2001-04 §6)."""
    every = {b"desc": _name_tag(name), b"cprt": b"text\0\0\0\0none\0", b"wtpt": _xyz_tag(D50), **tags}
    start = 128 + 4 + 12 * len(every)
    table, body = b"", b""
    for signature, data in every.items():
        table += struct.pack(">4sII", signature, start + len(body), len(data))
        body += data + bytes(-len(data) % 4)
    head = struct.pack(">I4xI4s4s4s12x4s28x", start + len(body), 0x02400000, b"mntr", space, pcs, b"acsp")
    illuminant = b"".join(_fixed(float(v)) for v in D50)
    return head + illuminant + bytes(48) + struct.pack(">I", len(every)) + table + body


def rgb_profile(name: str) -> bytes:
    """Profile of one of `SPACES`: matrix and curve."""
    space = SPACES[name]
    red, green, blue = space.to_d50().T
    curve = _curve_tag(space.linear)
    columns = {b"rXYZ": _xyz_tag(red), b"gXYZ": _xyz_tag(green), b"bXYZ": _xyz_tag(blue)}
    return icc_profile(b"RGB ", name, {**columns, b"rTRC": curve, b"gTRC": curve, b"bTRC": curve})


@pytest.fixture(scope="session")
def profiles() -> dict[str, bytes]:
    grey = icc_profile(b"GRAY", "grey, exponent 1.8", {b"kTRC": _curve_tag(lambda v: v**1.8)})
    return {name: rgb_profile(name) for name in SPACES} | {"grey": grey}


@pytest.fixture(scope="session")
def make_profile() -> Callable[[bytes, str, Mapping[bytes, bytes], bytes], bytes]:
    """Lay out a profile: colour space, name, tags, connection space."""
    return icc_profile


@pytest.fixture(scope="session")
def scene() -> NDArray[np.uint8]:
    """A smooth picture, 48 wide and 32 high, different in every corner."""
    y, x = np.mgrid[0:32, 0:48]
    bands = (x * 5, y * 7, 255 - (x + y) * 3)
    return np.stack(bands, axis=-1).clip(0, 255).astype(np.uint8)


@pytest.fixture
def jpeg(tmp_path: Path, scene: NDArray[np.uint8]) -> Path:
    path = tmp_path / "sea.jpg"
    Image.fromarray(scene).save(path, quality=95, subsampling=0)
    return path
