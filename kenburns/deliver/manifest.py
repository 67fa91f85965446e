"""manifest.json: what stands in the out folder, and from what each file was made.

A file is made again when what it is made from differs, by content and not by date; the fingerprint says that. Only
files named here are ever replaced.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterable, Mapping
from importlib.metadata import version
from pathlib import Path
from typing import Any, Literal

from pydantic import Field, ValidationError
from pydantic.dataclasses import dataclass

from ..cards.look import Look
from ..errors import OptionError
from ..files import write_whole
from ..plan.document import STRICT, Entry, Plan, PlannedSlot
from ..plan.labels import first_frame
from ..plan.views import smallest_scale
from ..presets import Codec

NAME = "manifest.json"
RENDERER = 4  # counted up when the same plan would give other pixels

_LIBRARIES = ("kenburns", "av", "imagecodecs", "numba", "numpy", "opencv-python-headless", "pillow", "pyvips-binary")


@dataclass(frozen=True, slots=True, kw_only=True, config=STRICT)
class ManifestEntry:
    """One file: `frames` counts the handles too; `content_hash` is the SHA-256 of the file.

    `begins` is the frame of the timecode written into it at its first frame, counted from 00:00:00:00.
    """

    slot: str
    file: str = Field(pattern=r'^[^<>:"/\\|?*\x00]*[^<>:"/\\|?*\x00. ]$')  # in the folder itself (cutlist/ids.py)
    kind: Literal["clip", "card"]
    frames: int
    rate: str
    width: int
    height: int
    still: str | None
    smallest_scale: float | None
    handles: int
    content_hash: str
    bytes: int
    fingerprint: str
    begins: int = 0


class Manifest(Entry):
    """The out folder. `owned`: every file name in it that this tool may replace; `made_with`: versions at last run."""

    version: Literal[1] = 1
    made_by: Literal["kenburns"] = "kenburns"
    owned: tuple[str, ...] = ()
    sheet: str = ""
    made_with: Mapping[str, str] = Field(default_factory=dict)
    slots: tuple[ManifestEntry, ...] = ()

    def entry(self, slot: str) -> ManifestEntry | None:
        """Return the entry of a slot."""
        return next((entry for entry in self.slots if entry.slot == slot), None)

    def by_slot(self) -> dict[str, ManifestEntry]:
        """Return all entries by slot."""
        return {entry.slot: entry for entry in self.slots}


def read_manifest(out: Path) -> Manifest:
    """Return the manifest of an out folder; an empty one where there is none yet.

    OptionError where the file there is not one of ours: nothing in such a folder is touched.
    """
    path = out / NAME
    try:
        manifest = Manifest.model_validate_json(path.read_bytes())
    except (FileNotFoundError, NotADirectoryError):
        return Manifest()
    except (OSError, ValidationError) as error:
        raise OptionError(_not_ours(path)) from error
    if "made_by" not in manifest.model_fields_set:  # a default is no signature
        raise OptionError(_not_ours(path))
    return manifest


def _not_ours(path: Path) -> str:
    return f"--out: '{path}' is no manifest of this tool's, so nothing there is touched; choose another folder"


def write_manifest(manifest: Manifest, out: Path) -> None:
    """Write manifest.json, whole or not at all."""
    write_whole(out / NAME, manifest_text(manifest).encode())


def manifest_text(manifest: Manifest) -> str:
    """Return the text of manifest.json."""
    return manifest.model_dump_json(indent=2) + "\n"


def fingerprint(slot: PlannedSlot, plan: Plan, codec: Codec, look: Look) -> str:
    """Return a hash of everything that a slot's picture is made from, and of nothing else.

    The slot's place in the film counts for a card, which shows it, and not for a clip: so a recut that only moves a
    clip leaves its file as it is.
    """
    made_from = {
        "renderer": RENDERER,
        "frame": plan.frame.model_dump(),
        "rate": plan.rate,
        "matte": plan.matte,
        "kernel": plan.kernel,
        "handles": plan.handles,
        "shutter": plan.shutter,
        "codec": codec.model_dump(mode="json", exclude={"summary"}),
        "frames": slot.frames,
        "still": (slot.still.sha256, slot.still.corners) if slot.still else None,
        "shots": [shot.model_dump(exclude={"notes"}) for shot in slot.shots],
        "card": (slot.card.model_dump(), _plain(look)) if slot.card else None,
    }
    if slot.words:
        made_from["words"] = (slot.words.model_dump(exclude={"notes"}), _plain(look))
    return hashlib.sha256(json.dumps(made_from, sort_keys=True).encode()).hexdigest()


def versions() -> dict[str, str]:
    """Return the versions of this tool and of the libraries that its pictures come from."""
    return {name: version(name) for name in _LIBRARIES}


def is_current(entry: ManifestEntry, slot: PlannedSlot, mark: str, out: Path) -> bool:
    """Whether the file of a slot stands there as it would be made now."""
    return entry.fingerprint == mark and entry.file == slot.file and lies_whole(entry, out / entry.file)


def lies_whole(entry: ManifestEntry, path: Path) -> bool:
    """Whether the file of an entry lies at a path, as long as it was made."""
    return path.is_file() and path.stat().st_size == entry.bytes


def describe(slot: PlannedSlot, plan: Plan, mark: str, out: Path) -> ManifestEntry:
    """Return the entry of a file that has just been made."""
    path = out / slot.file
    with path.open("rb") as file:
        content = hashlib.file_digest(file, "sha256").hexdigest()
    return ManifestEntry(
        slot=slot.slot,
        file=slot.file,
        kind=slot.kind,
        frames=slot.frames + 2 * plan.handles,
        rate=plan.rate,
        width=plan.frame.width,
        height=plan.frame.height,
        still=slot.still.file if slot.still else None,
        smallest_scale=smallest_scale(slot, plan),
        handles=plan.handles,
        content_hash=content,
        bytes=path.stat().st_size,
        fingerprint=mark,
        begins=first_frame(slot, plan),
    )


def refuse_strangers(names: Iterable[str], out: Path) -> Manifest:
    """Return the manifest of an out folder; OptionError for a file of these names there that is not in it as ours.

    The files are looked for first: what another run makes meanwhile it has written down before.
    """
    there = [name for name in names if os.path.lexists(out / name)]
    manifest = read_manifest(out)
    owned = frozenset(manifest.owned)
    strangers = [name for name in there if name not in owned]
    if strangers:
        raise OptionError(
            f"--out: '{out / strangers[0]}' is there and was not made by this tool ({len(strangers)} such in all); "
            "choose another out folder, or move what lies there"
        )
    return manifest


def _plain(look: Look) -> dict[str, Any]:
    return {name: getattr(look, name) for name in look.__slots__}
