# SPDX-License-Identifier: GPL-3.0-or-later
"""The paths of the pass before, held while Blender runs, so that two passes can be seen at once.

A pass is a check that somebody pressed: what Watch brings up to date goes on from the last one.
The file's record holds a few points, coarsely, to tell passes apart by, which is no path to draw.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...analysis.trails import COM, Spot, known_path
from .last_check import MOST, LastCheck

Floats = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Paths:
    """All points of a check, in the scene's units.

    serial             of that check
    frames (T,)        frame numbers
    titles (B,)        of the bodies
    marks (T,B,3,3)    their joints, tips and sides; valid (T,B) where they are known
    com (T,3)          the centre of mass, and where (T,) it is known; None where it is not
    """

    serial: int
    frames: NDArray[np.float64]
    titles: tuple[str, ...]
    marks: Floats
    valid: NDArray[np.bool_]
    com: tuple[Floats, NDArray[np.bool_]] | None

    def path(self, spot: Spot) -> tuple[NDArray[np.float64], Floats] | None:
        """Frames (N,) and places (N,3) of a point where it is known; None where it was not
        followed."""
        if spot.title == COM:
            return None if self.com is None else self._known(*self.com)
        if spot.title not in self.titles:
            return None
        body = self.titles.index(spot.title)
        return self._known(self.marks[:, body, spot.mark], self.valid[:, body])

    def is_as(self, other: "Paths") -> bool:
        """Whether nothing has moved."""
        return (
            self.titles == other.titles
            and np.array_equal(self.frames, other.frames)
            and np.array_equal(self.marks, other.marks)
        )

    def _known(self, path: Floats, known: NDArray[np.bool_]) -> tuple[NDArray[np.float64], Floats]:
        return self.frames[known], path[known]


# By the numbers of scene and rig, what was pressed last, and what had been before it.
_pressed: dict[tuple[int, int], tuple[Paths, Paths | None]] = {}


def note_pressed(check: LastCheck) -> None:
    """A check that was pressed. Where nothing has moved since the one before, it is no new pass."""
    key, now = (check.scene_uid, check.rig_uid), _paths_of(check)
    latest, before = _pressed.pop(key, (None, None))
    if latest is not None and not now.is_as(latest):
        before = latest
    _pressed[key] = now, before
    while len(_pressed) > MOST:
        del _pressed[next(iter(_pressed))]


def earlier_of(check: LastCheck) -> Paths | None:
    """The paths of the pass before a check; None where there was none since the file was opened."""
    latest, before = _pressed.get((check.scene_uid, check.rig_uid), (None, None))
    return before if latest is None or latest.serial == check.serial else latest


def clear() -> None:
    """Forget all."""
    _pressed.clear()


def _paths_of(check: LastCheck) -> Paths:
    basis, unit = check.examination.basis, np.float32(check.metres_per_unit)
    com = None
    if basis.com is not None:
        path, known = known_path(basis, Spot(COM))
        com = path.astype(np.float32) / unit, known
    return Paths(
        serial=check.serial,
        frames=basis.frames,
        titles=tuple(body.title for body in basis.bodies),
        marks=basis.marks.astype(np.float32) / unit,
        valid=basis.valid,
        com=com,
    )
