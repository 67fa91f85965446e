"""After a recut: files follow their slots to new names, and those of slots that are gone are retired, never deleted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from ..cutlist.ids import file_stem
from ..files import move_whole
from ..plan.document import Plan, PlannedSlot
from .captions import CAPTIONS
from .manifest import Manifest, ManifestEntry, write_manifest
from .motion_table import PATHS

RETIRED = "retired"


def refile(manifest: Manifest, plan: Plan, were: Mapping[str, PlannedSlot], out: Path) -> Manifest:
    """Move the files of the old cut to where the new plan wants them; return the manifest that says so.

    `were`: for each slot of the plan the slot of the old one that it was. One file is moved at a time and the manifest
    written after each, so that a run cut short leaves every file whole, and at worst one to be made again.
    """
    names = {was.slot: slot for slot, was in were.items()}
    files = {slot.slot: slot.file for slot in plan.slots}
    leaving = [entry for entry in manifest.slots if names.get(entry.slot) not in files]
    for entry in leaving:
        _retire(entry, out)
        manifest = _without(manifest, entry.slot)
        write_manifest(manifest, out)
    targets = {entry.slot: names[entry.slot] for entry in manifest.slots if names[entry.slot] != entry.slot}
    for old, new in _in_order(targets):
        manifest = _renamed(manifest, old, new, files.get(new), out)
        write_manifest(manifest, out)
    return manifest


def retire_outdated(manifest: Manifest, made: ManifestEntry, out: Path) -> None:
    """Retire what a slot had under another file name, as it does when the codec changes."""
    old = manifest.entry(made.slot)
    if old is not None and old.file != made.file:
        _to_retired(out / old.file, out)


def _in_order(targets: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Yield (old, new) so that no new name is taken when its turn comes; a ring goes through a name of its own."""
    waiting = dict(targets)
    while waiting:
        free = [(old, new) for old, new in waiting.items() if new not in waiting]
        if not free:
            old, new = next(iter(waiting.items()))
            aside = f"\0{old}"  # no id holds that character
            yield old, aside
            del waiting[old]
            waiting[aside] = new
            continue
        for old, new in free:
            yield old, new
            del waiting[old]


def _renamed(manifest: Manifest, old: str, new: str, file: str | None, out: Path) -> Manifest:
    entry = manifest.entry(old)
    if entry is None:
        return manifest
    suffix = Path(entry.file).suffix
    target = Path(file).with_suffix(suffix).name if file else f"{file_stem(new)}{suffix}"
    _move(out / entry.file, out / target)
    for was, now in zip(_beside(old), _beside(new), strict=True):
        _move(out / was, out / now)
    slots = tuple(e.model_copy(update={"slot": new, "file": target}) if e.slot == old else e for e in manifest.slots)
    owned = tuple(dict.fromkeys([*manifest.owned, target, *_beside(new)]))
    return manifest.model_copy(update={"slots": slots, "owned": owned})


def _retire(entry: ManifestEntry, out: Path) -> None:
    _to_retired(out / entry.file, out)
    for name in _beside(entry.slot):
        _to_retired(out / name, out)


def _beside(slot: str) -> tuple[str, str]:
    """Return the other files that a slot may have, as posix paths in the out folder."""
    return PATHS.name(slot), CAPTIONS.name(slot)


def _to_retired(path: Path, out: Path) -> None:
    if path.is_file():
        _move(path, _free(out / RETIRED / path.name))


def _free(path: Path) -> Path:
    """Return a name that is not taken: "12.mov", else "12 (2).mov" and so on."""
    number, name = 2, path
    while name.exists():
        name = path.with_name(f"{path.stem} ({number}){path.suffix}")
        number += 1
    return name


def _move(source: Path, target: Path) -> None:
    if source.is_file():
        move_whole(source, target)


def _without(manifest: Manifest, slot: str) -> Manifest:
    return manifest.model_copy(update={"slots": tuple(entry for entry in manifest.slots if entry.slot != slot)})
