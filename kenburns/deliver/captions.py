"""captions/<slot>.png: the caption to lay over a clip, a picture of the frame's size with straight alpha."""

from __future__ import annotations

import io
from collections.abc import Collection
from pathlib import Path

from PIL import Image

from ..cards.look import Look
from ..cards.over_picture import overlay_picture
from ..plan.document import Plan, PlannedSlot
from .beside import Beside

CAPTIONS = Beside("captions", ".png")


def write_captions(plan: Plan, look: Look, out: Path, owned: Collection[str]) -> tuple[Path, ...]:
    """Write the caption of every slot that has one; of those of other slots, what is `owned` is removed."""
    return CAPTIONS.write(((slot.slot, _content(slot, plan, look)) for slot in plan.slots), out, owned)


def _content(slot: PlannedSlot, plan: Plan, look: Look) -> bytes | None:
    if slot.overlay is None:
        return None
    png = io.BytesIO()
    Image.fromarray(overlay_picture(slot.overlay.screen(), plan.frame.size, look)).save(png, "PNG")
    return png.getvalue()
