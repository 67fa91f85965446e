"""A row of the table that the benchmarks print."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Row:
    """What was measured, the values of all rounds, and the bound that the median is to keep ("<= 1.12", ">= 5")."""

    what: str
    values: Sequence[float]
    bound: str
    unit: str = ""

    def __str__(self) -> str:
        """Return the row as text: median, range, bound."""
        low, high = min(self.values), max(self.values)
        spread = f"[{low:.3f}, {high:.3f}]" if len(self.values) > 1 else ""
        return f"{self.what:68} {statistics.median(self.values):8.3f}{self.unit:3} {self.bound:>8}  {spread}"
