"""The desk's own folder inside the out folder, for what it may forget: thumbnails, records, files being brought."""

from __future__ import annotations

from pathlib import Path

from ..deliver.manifest import read_manifest
from ..errors import OptionError

NAME = ".desk"


def own_folder(out: Path, *parts: str) -> Path | None:
    """Return the desk's folder in an out folder, or one inside it, made where it is missing.

    None where the out folder is somebody else's, or cannot be written to: then nothing is kept.
    """
    folder = out.joinpath(NAME, *parts)
    try:
        read_manifest(out)
        folder.mkdir(parents=True, exist_ok=True)
    except (OptionError, OSError):
        return None
    return folder
