"""How much of a machine is used at once, and how much of its memory a run has used."""

from __future__ import annotations

import os
import resource
import sys

# Kilobytes on Linux, bytes on macOS (getrusage(2) of each).
_RSS_UNIT = 1 << 20 if sys.platform == "darwin" else 1 << 10


def side_by_side() -> int:
    """Return how many photographs are worked at once: two keep a small machine busy, more fill a large one."""
    processors = os.cpu_count() or 1
    return 1 if processors == 1 else max(2, min(processors // 4, 4))


def helpers() -> int:
    """Return how many threads help each one that makes frames; the encoder brings its own."""
    return max((os.cpu_count() or 1) // (2 * side_by_side()) - 1, 0)


def peak_memory_mb() -> float:
    """Return the most memory that this process has used, in megabytes of 2^20 bytes."""
    return round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * _RSS_UNIT / (1 << 20), 1)
