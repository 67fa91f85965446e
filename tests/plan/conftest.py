"""A film on paper: photographs that are sizes and names only, and a plan made of them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from kenburns.cutlist.match import Match, match_all
from kenburns.cutlist.slots import CutList, Slot
from kenburns.film import Film
from kenburns.motion.geometry import Rect, Size
from kenburns.plan.delivery import Delivery
from kenburns.plan.document import Plan
from kenburns.plan.join import plan_film, with_edits
from kenburns.plan.material import Material
from kenburns.plan.moves import Moves
from kenburns.presets import pacing
from kenburns.stills.open import Photograph

PlanIt = Callable[..., Plan]


@pytest.fixture(scope="session")
def plan_it() -> PlanIt:
    """Plan slots (id, still, shot) one after another, for photographs of these sizes, at 320x180 px and 25."""

    def plan(
        sizes: dict[str, tuple[int, int]],
        slots: Sequence[tuple[str, str, str]],
        film: dict[str, Any] | None = None,
        matches: Sequence[Match] | None = None,
        *,
        length: int = 100,
        details: dict[str, Sequence[Rect]] | None = None,
        speed_limit: bool = True,
        handles: int = 0,
        first: int = 0,
        known: Moves | None = None,
    ) -> Plan:
        delivery = Delivery(
            title="Salt and Linen",
            frame=Size(320, 180),
            rate=Fraction(25),
            codec="review",
            extension="mp4",
            pacing=pacing("steady" if speed_limit else "free"),
            card_look="plain",
            matte="#161616",
            kernel="crisp",
            handles=handles,
            zoom=1.0,
        )
        photographs = {
            name: Photograph(Path(name), name, Size(*size), "PNG", 8, "sRGB", name.encode().hex().zfill(64))
            for name, size in sizes.items()
        }
        listed = tuple(
            Slot(slot, first + place * length, length, slot, still=still, shot=shot)
            for place, (slot, still, shot) in enumerate(slots)
        )
        edits = Film.model_validate(film or {})
        found = match_all(with_edits(listed, edits, Fraction(25)), list(sizes)) if matches is None else matches
        cut_list = CutList(listed, (), {}, (), drop=False)
        outlines = {name: outline for name in sizes if (outline := edits.still(name).outline)}
        return plan_film(delivery, cut_list, found, Material(photographs, details or {}, outlines), edits, known=known)

    return plan
