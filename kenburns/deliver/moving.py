"""Files of the out folder that get other names together, to their end also where a run is killed among them.

Slots that are numbered anew take each other's names. So all their files go aside first, and then each to its new name.
What goes where is written down before, and once more when all lie aside: until the end each step can be done again, and
what is done is not done twice. With the files the manifest changes, which says whose they are.
"""

from __future__ import annotations

import hashlib
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path, PureWindowsPath
from typing import Annotated

from pydantic import AfterValidator, Field, ValidationError

from ..files import move_all, write_whole
from ..plan.document import Entry
from ..plan.last import PLAN_FILE
from .manifest import Manifest, write_manifest

MOVING_FILE = ".moving.json"
ASIDE = ".moving"


def _within(name: str) -> str:
    path = PureWindowsPath(name)  # knows every separator, and drives
    if path.anchor or ".." in path.parts or not path.name or "\0" in name:
        raise ValueError("must lie in the out folder")
    return name


_Name = Annotated[str, AfterValidator(_within)]


@dataclass(frozen=True, slots=True)
class Moving:
    """Which files go where and the manifest that says so then; names are posix paths in the out folder.

    `retired`: where those go that no slot has any more. `renamed`: the new names of those of slots, which may be the
    old ones of others.
    """

    retired: tuple[tuple[str, str], ...]
    renamed: tuple[tuple[str, str], ...]
    manifest: Manifest


class _Document(Entry):
    plan: str = Field(pattern="^[0-9a-f]{64}$")
    retired: tuple[tuple[_Name, _Name], ...]
    renamed: tuple[tuple[_Name, _Name], ...]
    manifest: Manifest
    all_aside: bool = False

    def after(self, manifest: Manifest) -> Manifest:
        """Return what a folder's manifest is once all has moved."""
        owned = tuple(dict.fromkeys([*manifest.owned, *self.manifest.owned]))
        return manifest.model_copy(update={"slots": self.manifest.slots, "owned": owned})


def announce(moving: Moving, plan: str, out: Path) -> None:
    """Write down what moves once the text of the plan in `out` is `plan`; nothing moves before `bring_to_end`."""
    if moving.retired or moving.renamed:
        document = _Document(
            plan=_sha256(plan.encode()), retired=moving.retired, renamed=moving.renamed, manifest=moving.manifest
        )
        _write(document, out)


def bring_to_end(manifest: Manifest, out: Path) -> Manifest:
    """Move what was announced with the plan that stands in `out`, or has begun to move; return the manifest then.

    It is `manifest`, that of the folder, where nothing moves. To be called by the one run at work in the folder.
    """
    document = _due(out)
    if document is not None:
        manifest = _moved(document, manifest, out)
    (out / MOVING_FILE).unlink(missing_ok=True)
    return manifest


def as_brought_to_end(manifest: Manifest, out: Path) -> tuple[Manifest, dict[str, Path]]:
    """Return what `bring_to_end` would, moving nothing; and where those files lie now that it would give other names.

    They are told by the names that they will have.
    """
    document = _due(out)
    if document is None:
        return manifest, {}
    return document.after(manifest), {
        new: place if place.exists() else out / (new if document.all_aside else old)
        for (old, new), place in zip(document.renamed, _aside(document, out), strict=True)
    }


def _due(out: Path) -> _Document | None:
    """Return what is announced and to be done; None where there is nothing, or its plan never took its place."""
    document = _read(out)
    if document is not None and (_begun(document, out) or document.plan == _sha256_of(out / PLAN_FILE)):
        return document
    return None


def _moved(document: _Document, manifest: Manifest, out: Path) -> Manifest:
    (out / ASIDE).mkdir(exist_ok=True)
    aside = _aside(document, out)
    if not document.all_aside:
        move_all((out / old, out / new) for old, new in document.retired)
        move_all((out / old, place) for (old, _), place in zip(document.renamed, aside, strict=True))
        _write(document.model_copy(update={"all_aside": True}), out)
    move_all((place, out / new) for (_, new), place in zip(document.renamed, aside, strict=True))
    after = document.after(manifest)
    write_manifest(after, out)
    with suppress(OSError):  # somebody else's file in it
        (out / ASIDE).rmdir()
    return after


def _aside(document: _Document, out: Path) -> list[Path]:
    """Return where each of the renamed files lies between its two names."""
    return [out / ASIDE / f"{document.plan}-{number}" for number in range(len(document.renamed))]


def _begun(document: _Document, out: Path) -> bool:
    return document.all_aside or any((out / ASIDE).glob(f"{document.plan}-*"))


def _read(out: Path) -> _Document | None:
    try:
        return _Document.model_validate_json((out / MOVING_FILE).read_bytes())
    except (OSError, ValidationError):
        return None


def _write(document: _Document, out: Path) -> None:
    write_whole(out / MOVING_FILE, document.model_dump_json().encode())


def _sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _sha256_of(path: Path) -> str:
    return _sha256(path.read_bytes()) if path.is_file() else ""
