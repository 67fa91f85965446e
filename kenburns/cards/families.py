"""The typeface families that the package carries, and where their files lie."""

from __future__ import annotations

from pathlib import Path

import fontpkg_noto_sans

DEFAULT = str(fontpkg_noto_sans.FAMILY)

# Carried by a dependency and under the SIL Open Font Licence, so a card looks the same on every machine.
_FILES = {DEFAULT: Path(fontpkg_noto_sans.ROOT) / "files" / "NotoSans[wdth,wght].ttf"}


def file_of(family: str = DEFAULT) -> Path:
    """Return the file of a typeface family; ValueError for a family that the package does not carry."""
    if family not in _FILES:
        raise ValueError(f"no typeface is named {family!r}; there is {', '.join(map(repr, _FILES))}")
    return _FILES[family]
