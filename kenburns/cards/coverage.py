"""Which characters a typeface file has."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import uharfbuzz


@cache
def opened(path: Path) -> uharfbuzz.Face:
    """Return the typeface of a file, its first where it holds several.

    ValueError where the file is not a TrueType or OpenType typeface with a table of characters ('cmap').
    """
    found = uharfbuzz.Face(uharfbuzz.Blob.from_file_path(str(path)))
    if not found.unicodes:
        raise ValueError(f"'{path.name}' is no TrueType or OpenType typeface with a table 'cmap'")
    return found


@cache
def coverage(path: Path) -> frozenset[int]:
    """Return the code points that the file maps to a glyph other than 'missing'; ValueError as in `opened`."""
    return frozenset(opened(path).unicodes)
