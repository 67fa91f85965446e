"""After a recut: files follow their slots to new names, and those of slots that are gone are retired, never deleted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from ..files import move_all
from ..plan.document import Plan, PlannedSlot
from .captions import CAPTIONS
from .manifest import Manifest, ManifestEntry
from .motion_table import PATHS
from .moving import Moving

RETIRED = "retired"


def refiled(manifest: Manifest, plan: Plan, were: Mapping[str, PlannedSlot], out: Path) -> Moving:
    """Return which files of the old cut go where by a new plan, and the manifest that says so then.

    `were`: for each slot of the plan the slot of the old one that it was.
    """
    files = {slot.slot: slot.file for slot in plan.slots}
    names = {was.slot: slot for slot, was in were.items() if slot in files}
    gone = [entry for entry in manifest.slots if entry.slot not in names]
    before = [entry for entry in manifest.slots if entry.slot in names]
    after = [_renamed(entry, names[entry.slot], files[names[entry.slot]]) for entry in before]
    renamed = tuple(move for old, new in zip(before, after, strict=True) for move in _moves(old, new))
    owned = tuple(dict.fromkeys([*manifest.owned, *(new for _, new in renamed)]))
    return Moving(
        tuple(_retiring((name for entry in gone for name in _files(entry)), out)),
        renamed,
        manifest.model_copy(update={"slots": tuple(after), "owned": owned}),
    )


def retire_outdated(manifest: Manifest, made: ManifestEntry, out: Path) -> None:
    """Retire what a slot had under another file name, as it does when the codec changes."""
    old = manifest.entry(made.slot)
    if old is not None and old.file != made.file:
        move_all((out / file, out / retired) for file, retired in _retiring([old.file], out))


def _renamed(entry: ManifestEntry, slot: str, file: str) -> ManifestEntry:
    """Return the entry under the name of another slot; of another codec it keeps its suffix until it is made anew."""
    if entry.slot == slot:
        return entry
    return replace(entry, slot=slot, file=Path(file).with_suffix(Path(entry.file).suffix).name)


def _moves(old: ManifestEntry, new: ManifestEntry) -> Iterator[tuple[str, str]]:
    if old.slot != new.slot:
        yield from zip(_files(old), _files(new), strict=True)


def _files(entry: ManifestEntry) -> tuple[str, ...]:
    """Return all files that a slot may have, as posix paths in the out folder."""
    return entry.file, PATHS.name(entry.slot), CAPTIONS.name(entry.slot)


def _retiring(files: Iterable[str], out: Path) -> Iterator[tuple[str, str]]:
    """Yield where files go that stand there; each to a name that is free: "12.mov", else "12 (2).mov" and so on."""
    taken: set[str] = set()
    for file in files:
        if (out / file).is_file():
            path, number = Path(file), 2
            name = path.name
            while name.casefold() in taken or (out / RETIRED / name).exists():
                name, number = f"{path.stem} ({number}){path.suffix}", number + 1
            taken.add(name.casefold())
            yield file, f"{RETIRED}/{name}"
