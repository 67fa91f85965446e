"""captions/<slot>.png: the caption to lay over a clip, a picture of the frame's size with straight alpha."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Collection
from pathlib import Path

from PIL import Image

from ..cards.families import file_of
from ..cards.look import Look
from ..cards.over_picture import overlay_picture
from ..motion.geometry import Size
from ..plan.document import Plan, PlannedScreen
from ..remembered import Remembered
from .beside import Beside, Content

CAPTIONS = Beside("captions", ".png")


def write_captions(
    plan: Plan, look: Look, out: Path, owned: Collection[str], known: Remembered[str] | None = None
) -> tuple[Path, ...]:
    """Write the caption of every slot that has one; of those of other slots, what is `owned` is removed."""
    letters = _sha256_of_letters(look) if any(slot.overlay for slot in plan.slots) else ""
    files = ((slot.slot, _content(slot.overlay, plan.frame.size, look, letters)) for slot in plan.slots)
    return CAPTIONS.write(files, out, owned, known or Remembered())


def _sha256_of_letters(look: Look) -> str:
    with file_of(look.typeface).open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _content(overlay: PlannedScreen | None, frame: Size, look: Look, letters: str) -> Content | None:
    if overlay is None:
        return None
    made_from = overlay.model_dump_json(exclude={"frames"}), frame, look, letters
    return Content(made_from, lambda: _picture(overlay, frame, look))


def _picture(overlay: PlannedScreen, frame: Size, look: Look) -> bytes:
    png = io.BytesIO()
    Image.fromarray(overlay_picture(overlay.screen(), frame, look)).save(png, "PNG")
    return png.getvalue()
