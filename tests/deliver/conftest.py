from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from kenburns.deliver.sheet import RefusedFile, Sheet, SheetEntry, UnusedStill


def flat(colour: tuple[int, int, int], width: int, height: int) -> NDArray[np.uint8]:
    return np.full((height, width, 3), colour, np.uint8)


@pytest.fixture
def small_sheet() -> Sheet:
    """Return one good slot, one short, a card, an empty place; an unused still; a refused file."""
    frames = tuple(flat((level, 90, 40), 160, 90) for level in (60, 120, 180))
    still = flat((200, 60, 40), 300, 200)
    card = flat((22, 22, 22), 160, 90)
    entries = (
        SheetEntry(
            "001", "Winter Harbour", "01:00:00:00", "5.0 s", "push in", "harbour.jpg", "good", "", "© Ilse Marrow",
            still, ((0.1, 0.1, 0.3, 0.3), (0.5, 0.5, 0.4, 0.4)), frames,
        ),
        SheetEntry(
            "002", "Żółta łąka", "01:00:05:00", "4.0 s", "pan", "meadow.jpg", "short", "bears 1.4×", "",
            still, (), frames, ("the move was made smaller",),
        ),
        SheetEntry("003", "The quay", "01:00:09:00", "4.0 s", "", "", "missing", frames=(card,) * 3, card=True),
        SheetEntry("004", "Nets", "01:00:13:00", "4.0 s", "", "nets.tif", "unreadable", "ends too early"),
    )  # fmt: skip
    unused = (UnusedStill("studio.jpg", "small", still), UnusedStill("door.jpg", "good"))
    return Sheet("Salt and Linen", "4 slots", entries, unused, (RefusedFile("notes.psd", "is not a photograph"),))
