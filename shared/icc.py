"""A wide-gamut ICC profile made from its published numbers: opRGB, as three curves and a matrix.

Sources: IEC 61966-2-5 (opRGB: primaries, D65 white, exponent 2.19921875); ICC.1:2001-04, the version 2 format
(header, 'desc', 'curv' and 'XYZ ' types, D50 illuminant); Lindbloom's statement of the linear Bradford transform
for the step from D65 to D50. Numbers written from memory of these texts and checked in the tests against Pillow's
colour engine and colour-science.
"""

from __future__ import annotations

import struct

import numpy as np
from numpy.typing import NDArray

PRIMARIES = ((0.64, 0.33), (0.21, 0.71), (0.15, 0.06))  # x, y of red, green, blue
WHITE = (0.3127, 0.3290)  # D65
EXPONENT = 2 + 51 / 256  # 2.19921875
D50 = (0.9642, 1.0, 0.8249)  # the profile connection space's white, as the ICC rounds it

_BRADFORD = np.array([(0.8951, 0.2664, -0.1614), (-0.7502, 1.7135, 0.0367), (0.0389, -0.0685, 1.0296)])


def op_rgb() -> bytes:
    """Return the profile as bytes, to be embedded in a photograph."""
    red, green, blue = colourants().T
    curve = b"curv" + bytes(4) + struct.pack(">IH", 1, round(EXPONENT * 256))
    tags = {
        b"desc": _description("opRGB (IEC 61966-2-5)"),
        b"cprt": b"text" + bytes(4) + b"No copyright, use freely\0",
        b"wtpt": _xyz(np.asarray(D50)),
        b"rXYZ": _xyz(red),
        b"gXYZ": _xyz(green),
        b"bXYZ": _xyz(blue),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    return _assembled(tags)


def colourants() -> NDArray[np.float64]:
    """Return the 3x3 matrix from linear opRGB to XYZ under D50; its columns are the three primaries."""
    primaries = np.array([_to_xyz(x, y) for x, y in PRIMARIES]).T
    white = _to_xyz(*WHITE)
    matrix = primaries * np.linalg.solve(primaries, white)
    gains = (_BRADFORD @ np.asarray(D50)) / (_BRADFORD @ white)
    return np.asarray(np.linalg.inv(_BRADFORD) @ np.diag(gains) @ _BRADFORD @ matrix, np.float64)


def _to_xyz(x: float, y: float) -> NDArray[np.float64]:
    return np.array([x / y, 1.0, (1 - x - y) / y])


def _xyz(values: NDArray[np.float64]) -> bytes:
    return b"XYZ " + bytes(4) + struct.pack(">3i", *(round(float(v) * 65536) for v in values))


def _description(words: str) -> bytes:
    text = words.encode("ascii") + b"\0"
    return b"desc" + bytes(4) + struct.pack(">I", len(text)) + text + bytes(4 + 4 + 2 + 1 + 67)


def _assembled(tags: dict[bytes, bytes]) -> bytes:
    """Put header, tag table and four-byte aligned tag data together."""
    table, body = struct.pack(">I", len(tags)), b""
    start = 128 + 4 + 12 * len(tags)
    for name, data in tags.items():
        table += name + struct.pack(">II", start + len(body), len(data))
        body += data + bytes(-len(data) % 4)
    date = struct.pack(">6H", 2001, 4, 1, 0, 0, 0)  # fixed, so that the same bytes come out on every run
    head = struct.pack(">I4sI4s4s4s", start + len(body), bytes(4), 0x02200000, b"mntr", b"RGB ", b"XYZ ")
    head += date + b"acsp" + bytes(4) + bytes(4) + bytes(8) + bytes(8) + bytes(4)
    head += struct.pack(">3i", *(round(v * 65536) for v in D50)) + bytes(4)
    return head.ljust(128, b"\0") + table + body
