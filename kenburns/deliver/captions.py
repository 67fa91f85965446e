"""captions/<slot>.png: the caption to lay over a clip, a picture of the frame's size with straight alpha."""

from __future__ import annotations

import io
from pathlib import Path

from PIL import Image

from ..cards.look import Look
from ..cards.over_picture import overlay_picture
from ..cutlist.ids import file_stem
from ..files import write_whole
from ..plan.document import Plan, PlannedSlot

CAPTIONS_FOLDER = "captions"


def caption_name(slot: PlannedSlot) -> str:
    """Return the name of a slot's caption in the folder of captions."""
    return f"{file_stem(slot.slot)}.png"


def write_captions(plan: Plan, look: Look, folder: Path) -> tuple[Path, ...]:
    """Write the caption of every slot that has one into `folder`; those of slots that have none by now are removed."""
    written = []
    for slot in plan.slots:
        file = folder / caption_name(slot)
        if slot.overlay is None:
            file.unlink(missing_ok=True)
            continue
        png = io.BytesIO()
        Image.fromarray(overlay_picture(slot.overlay.screen(), plan.frame.size, look)).save(png, "PNG")
        folder.mkdir(exist_ok=True)
        if not file.is_file() or file.read_bytes() != png.getvalue():
            write_whole(file, png.getvalue())
        written.append(file)
    return tuple(written)
