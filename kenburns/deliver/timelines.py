"""The film for the edit and for compositing: a timeline, an edit decision list a track, and the motion as keyframes."""

from __future__ import annotations

from pathlib import Path

from ..files import write_whole
from ..plan.document import Plan
from .edit_list import CARDS, STILLS, film_edit_lists
from .keyframes import Known, keyframes_json
from .manifest import Manifest
from .timeline import NAME, film_timeline

KEYFRAMES = "keyframes.json"
TIMELINE_FILES = (NAME, STILLS, CARDS, KEYFRAMES)


def write_timelines(plan: Plan, manifest: Manifest, out: Path, known: Known | None = None) -> None:
    """Write them all into the out folder, each whole; clips are found at the timecode their files begin at.

    `known`: the keyframes that need not be worked out.
    """
    begins = {entry.slot: entry.begins for entry in manifest.slots}
    texts = {NAME: film_timeline(plan, begins), **film_edit_lists(plan, begins), KEYFRAMES: keyframes_json(plan, known)}
    for name, text in texts.items():
        write_whole(out / name, text.encode())
