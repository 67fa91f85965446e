"""What the measures of detail weigh: log2 of the effective scale is the sum of terms times weights.

Written by `python -m benchmarks.real_detail --fit` from sharp photographs enlarged by 1.25 to 4, blurred, and
compressed at JPEG qualities 95 to 40 (benchmarks/degraded.py says how).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Weights:
    """Mean and deviation of k measures, and the weights of 1, each measure and each product, (k+1)(k+2)/2 of them."""

    centre: _Floats
    spread: _Floats
    terms: _Floats


# Mean and deviation of each measure; then a row for 1 and each measure: its products with itself and all after it.
_SCALES = (
    (-0.5214, 0.1239),  # steps over 1 px / 2 px
    (-0.2394, 0.0969),  # steps over 2 px / 3 px
    (-0.1289, 0.0692),  # steps over 3 px / 4 px
    (-0.1371, 0.0855),  # steps over 4 px / 6 px
    (-0.0709, 0.0480),  # steps over 6 px / 8 px
    (-0.3782, 0.1139),  # loss at 0.75 / 0.6
    (-0.0950, 0.1461),  # loss at 0.6 / 0.5
    (-0.6106, 0.2651),  # loss at 0.5 / 0.35
    (-0.3523, 0.1407),  # loss at 0.35 / 0.25
    (-1.7264, 0.4809),  # loss at 0.75 / steps over 1 px
)
_TERMS = """
-0.5765   0.0810   0.5013  -0.2822   0.3892  -0.1832   0.0389   0.1163   0.2139  -0.0660   0.0031
-0.0155   0.0807  -0.0587  -0.0695  -0.0016   0.0371  -0.0287  -0.0871  -0.0319   0.0525
-0.1742   0.0457   0.1200  -0.0353   0.0181  -0.1239  -0.0004  -0.0286  -0.0530
-0.0133  -0.0801   0.0415   0.0132   0.1834   0.0894   0.3109  -0.1349
-0.1473   0.1117  -0.1163  -0.1284   0.0739  -0.2157  -0.0265
-0.0284   0.0832   0.0457  -0.0425   0.0143   0.0989
-0.0201   0.0274  -0.0090   0.0065   0.0073
-0.0905  -0.1706   0.0581   0.0324
-0.0877   0.0159   0.0771
-0.0754   0.0289
-0.0109
"""
_CENTRE, _SPREAD = np.array(_SCALES).T
WEIGHTS = Weights(_CENTRE, _SPREAD, np.array(_TERMS.split(), np.float64))
