"""How a film is delivered; every choice made, none left to the renderer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from ..motion.geometry import Size
from ..presets import Pacing


@dataclass(frozen=True, slots=True)
class Delivery:
    """A film's title, frame, rate and codec, and how things move and look in it."""

    title: str
    frame: Size
    rate: Fraction
    codec: str
    extension: str
    pacing: Pacing
    card_look: str
    matte: str
    kernel: str
    handles: int
    zoom: float
    pacings: Mapping[str, Pacing] = field(default_factory=dict)
    """Those that slots have of their own, by name."""
