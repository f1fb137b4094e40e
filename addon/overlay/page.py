# SPDX-License-Identifier: GPL-3.0-or-later
"""What of a view is taken already, so that no text covers another one."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .screen import Box, View

Floats = NDArray[np.float64]
# Unscaled pixels between two texts.
_GAP = 2.0


@dataclass(frozen=True)
class Type:
    """The size of the letters in pixels: the width of a digit, and the height of a line."""

    width: float
    height: float


class Page:
    """What stands already: boxes of labels, and dots that had better stay free."""

    def __init__(self, view: View, dots: Floats) -> None:
        self.view = view
        # From left to right: only those in a box's columns are looked at.
        self._dots = dots[np.argsort(dots[:, 0])]
        # There may be hundreds, and each text asks about all of them: rows of one array.
        self._boxes, self._count = np.zeros((256, 4)), 0
        for box in view.taken:
            self.take(box)

    def take(self, box: Box) -> None:
        """From now on nothing else stands there."""
        if self._count == len(self._boxes):
            self._boxes = np.concatenate((self._boxes, np.zeros_like(self._boxes)))
        self._boxes[self._count] = box
        self._count += 1

    def is_free(self, box: Box) -> bool:
        """Whether a box lies where texts may stand, and on no other."""
        x0, y0, x1, y1 = box
        left, bottom, right, top = self.view.page
        if x0 < left or y0 < bottom or x1 > right or y1 > top:
            return False
        gap = _GAP * self.view.scale
        a, b, c, d = self._boxes[: self._count].T
        return not ((x0 < c + gap) & (a < x1 + gap) & (y0 < d + gap) & (b < y1 + gap)).any()

    def keep_free(self, places: Floats, bottom: float, top: float, half: float) -> None:
        """No text may stand around places (N,2): unscaled pixels below, above, and to the sides."""
        scale = self.view.scale
        for x, y in places:
            self.take((x - half * scale, y + bottom * scale, x + half * scale, y + top * scale))

    def covers_dots(self, box: Box) -> bool:
        """Whether a dot would be hidden."""
        left, bottom, right, top = box
        first, last = np.searchsorted(self._dots[:, 0], (left, right))
        heights = self._dots[first:last, 1]
        return bool(((heights > bottom) & (heights < top)).any())
