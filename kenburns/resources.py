"""Where the folders that travel with the package lie."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from .errors import KenburnsError

PACKAGE = Path(__file__).resolve().parent


def resource_folder(name: Literal["presets", "shared"], package: Path = PACKAGE) -> Path:
    """Return the folder of presets, or of the demo film.

    In an installed wheel both lie inside the package, in `kenburns/packed/`; in a checkout they lie beside it, at the
    top level, where people look for them. Raises KenburnsError where neither is there.
    """
    for folder in (package / "packed" / name, package.parent / name):
        if folder.is_dir():
            return folder
    raise KenburnsError(f"the folder '{name}' is missing from this installation; installing the package again mends it")
