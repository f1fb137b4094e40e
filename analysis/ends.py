# SPDX-License-Identifier: GPL-3.0-or-later
"""Paths near a clip's ends: in a loop the next round lies beyond them, else nothing is known."""

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .leave_out import LeftOut, leave_out, reflect
from .loop import Cycle
from .seam import WRAP, Seam, find_seam

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Name = Literal["marks", "own_marks", "rotations", "own_rotations"]

# A block this near an end has too few samples on one side to be judged.
EDGE = 3


class Ends:
    """The paths of a basis, with the rounds before and after where the range plays as a loop.

    length   samples of the range that are judged: a loop's repeats at its end are not
    """

    def __init__(self, basis: Basis, cycle: Cycle) -> None:
        self._basis = basis
        self.length = len(basis.frames) - (cycle.repeats if cycle.plays else 0)
        self._seam: Seam | None = None
        if cycle.plays and self.length >= 2 * WRAP:
            self._seam = find_seam(basis, self.length, travels=cycle.travels)

    @property
    def wraps(self) -> bool:
        """Whether the rounds before and after are known: the range plays as a loop."""
        return self._seam is not None

    @property
    def judged(self) -> tuple[int, int]:
        """First and last sample that can be judged."""
        return (0, self.length - 1) if self._seam else (EDGE, self.length - 1 - EDGE)

    def leave_out(self, name: Name, width: int) -> LeftOut:
        """`leave_out` of a path of the basis; what cannot be judged has size 0.

        In a loop, blocks next to the ends are predicted with the neighbouring rounds. What is
        left nearby is the smaller of the loop's and the plain range's: neither a broken seam
        nor an end that is continued by reflection hides a pop.
        """
        plain = leave_out(getattr(self._basis, name), width)
        first, last = EDGE, self.length - EDGE - width
        for values in (plain.offset, plain.size):
            values[:first] = 0.0
            values[max(last + 1, first) :] = 0.0
        if self._seam is not None:
            around = leave_out(getattr(self._seam, name), width)
            starts = [*range(first), *range(max(last + 1, first), self.length - width + 1)]
            wrapped = np.array(starts) + WRAP
            plain.offset[starts], plain.size[starts] = around.offset[wrapped], around.size[wrapped]
            plain.left[starts] = around.left[wrapped]
            inside = slice(first, max(last + 1, first))
            theirs = around.left[WRAP : WRAP + self.length][inside]
            plain.left[inside] = np.minimum(plain.left[inside], theirs)
        return plain

    def padded(self, name: Name, margin: int) -> tuple[Floats, ...]:
        """A path of the basis with `margin` samples more at either end (T+2*margin,...).

        In a loop twice: with the neighbouring rounds, and as the plain range, of which nothing
        is known beyond its ends. What is not known is continued by point reflection.
        """
        values = getattr(self._basis, name)[: self.length]
        plain = _reflected(values, margin)
        if self._seam is None:
            return (plain,)
        return _reflected(getattr(self._seam, name), margin - WRAP), plain

    @property
    def lenience(self) -> Floats:
        """(T,B) what limits of legs are multiplied by, see `Basis.leg_lenience`."""
        if self._seam is None:
            return self._basis.leg_lenience
        lenience = np.ones(self._basis.valid.shape)
        lenience[: self.length] = self._basis.loop_lenience(self.length)
        return lenience

    def frame_after(self, at: int) -> float:
        """The frame that plays after a sample: in a loop the first one after the last."""
        frames = self._basis.frames
        if self._seam is not None and at == self.length - 1:
            return float(frames[0])
        return float(frames[at] + frames[1] - frames[0])

    def around(self, name: Name) -> tuple[Floats, int]:
        """A path (N,...) of the basis and the place of the range's first sample in it.

        In a loop, samples of the neighbouring rounds lie on either side.
        """
        if self._seam is None:
            values: Floats = getattr(self._basis, name)
            return values[: self.length], 0
        around: Floats = getattr(self._seam, name)
        return around, WRAP

    def known(self, before: int, after: int) -> Bools:
        """(N,B) whether bodies are known on the samples of `around`, and so many before and after.

        In a loop over the seam; of what lies beyond a plain range's ends nothing is asked.
        """
        count, first = (self.length, 0) if self._seam is None else (self.length + 2 * WRAP, WRAP)
        gap = ~self._basis.valid[: self.length]
        if not gap.any():
            return np.ones((count, gap.shape[1]), dtype=bool)
        near = gap.copy()
        for shift in range(-after, before + 1):
            moved = np.roll(gap, shift, axis=0)
            if self._seam is None and shift > 0:
                moved[:shift] = False
            elif self._seam is None and shift < 0:
                moved[shift:] = False
            near |= moved
        return np.asarray(~near[(np.arange(count) - first) % self.length])

    def path(self, body: int, mark: int) -> tuple[Floats, int]:
        """A mark's path (N,3) in the world and the place of the range's first sample in it."""
        if self._seam is None:
            return self._basis.marks[: self.length, body, mark], 0
        return self._seam.marks[:, body, mark], WRAP


def _reflected(values: Floats, margin: int) -> Floats:
    """Values (T,...) continued by point reflection on both sides; cut where margin is negative."""
    if margin < 0:
        return np.asarray(values[-margin:margin])
    flat = reflect(values.reshape(len(values), -1), margin)
    return flat.reshape(-1, *values.shape[1:])
