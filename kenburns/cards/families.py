"""Typeface families and where their files lie: carried by the package, installed beside it, or a file of the user's.

Every typeface that comes with the package comes from a dependency under the SIL Open Font Licence, so a card looks the
same on every machine; typefaces of the operating system are not searched, for the same reason.
"""

from __future__ import annotations

from functools import cache
from importlib.metadata import entry_points
from pathlib import Path

import fontpkg_heebo
import fontpkg_noto_sans
import fontpkg_noto_sans_arabic
import noto_cjk_sans_otc

DEFAULT = str(fontpkg_noto_sans.FAMILY)

_FILES = {
    DEFAULT: Path(fontpkg_noto_sans.ROOT) / "files" / "NotoSans[wdth,wght].ttf",
    str(fontpkg_noto_sans_arabic.FAMILY): Path(fontpkg_noto_sans_arabic.ROOT)
    / "files"
    / "NotoSansArabic[wdth,wght].ttf",
    str(fontpkg_heebo.FAMILY): Path(fontpkg_heebo.ROOT) / "files" / "Heebo[wght].ttf",
    "Noto Sans CJK": Path(str(noto_cjk_sans_otc.FONT_PATH)),
}

FALLBACKS = tuple(_FILES)
"""Families searched in this order for what the chosen one lacks.

Noto Sans has Latin, Greek, Cyrillic and Devanagari; Heebo has Hebrew; Noto Sans CJK has Chinese,
Japanese and Korean.
"""

ENDINGS = (".ttf", ".otf", ".ttc", ".otc")
"""Of typeface files."""


def file_of(family: str = DEFAULT) -> Path:
    """Return the file of a typeface family, or the file itself where `family` is a path to one.

    ValueError for a family that is neither carried nor installed, and for a file that is not there.
    """
    if family.lower().endswith(ENDINGS):
        return _own_file(family)
    known = _FILES if family in _FILES else {**_FILES, **_installed(), **_FILES}
    if family not in known:
        raise ValueError(
            f"no typeface is named {family!r}; there is {', '.join(map(repr, known))}, or a file such as 'my.otf'"
        )
    return known[family]


def chain(family: str) -> tuple[Path, ...]:
    """Return the files to search for a character, the family's own first."""
    return tuple(dict.fromkeys((file_of(family), *(_FILES[each] for each in FALLBACKS))))


def _own_file(name: str) -> Path:
    path = Path(name).expanduser()
    if not path.is_file():
        raise ValueError(f"typeface file '{name}' is not there; name a file that is, or a family such as {DEFAULT!r}")
    return path


@cache
def _installed() -> dict[str, Path]:
    """Return the upright files of families that other packages of the environment offer as 'fontpkg.family'."""
    modules = [entry.load() for entry in entry_points(group="fontpkg.family")]
    found = {str(module.FAMILY): _upright(Path(module.ROOT) / "files") for module in modules}
    return {family: path for family, path in sorted(found.items()) if path is not None}


def _upright(folder: Path) -> Path | None:
    files = sorted(path for path in folder.glob("*.?tf") if "Italic" not in path.name)
    # A static family's regular face, else a variable file, which holds every weight.
    return next((path for path in files if "Regular" in path.name), files[0] if files else None)
