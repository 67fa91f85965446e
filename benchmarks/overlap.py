"""How well an outline fits the truth."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Rows = NDArray[np.float64]


def overlaps(corners: Rows, truth: Rows) -> tuple[Rows, Rows]:
    """Return for outlines (k, 4, 2) their IoU with the truth (4, 2), and the share of the truth that they cut off."""
    of_truth = np.asarray(truth, np.float32)
    whole = cv2.contourArea(of_truth)
    iou, cut = np.zeros(len(corners)), np.zeros(len(corners))
    for index, outline in enumerate(np.asarray(corners, np.float32)):
        common = cv2.intersectConvexConvex(outline, of_truth)[0]
        iou[index] = common / (whole + cv2.contourArea(outline) - common)
        cut[index] = 1 - common / whole
    return iou, cut
