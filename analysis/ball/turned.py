# SPDX-License-Identifier: GPL-3.0-or-later
"""A path turned by 90 degrees, so that what goes to the side, or ahead, reads as a bounce.

The side extreme is the top of the arc then: spacing narrowest there, widest in mid-crossing.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Axis = Literal["side", "ahead"]

UP = np.array([0.0, 0.0, 1.0])
# Less of a travel than this many heights tells no way.
TRAVELS = 0.5


@dataclass(frozen=True, eq=False)
class Turned:
    """How a path is turned, moved beside itself, and back.

    rotation (3,3)   takes the path's axes to those of the turned one
    about (3,)       the point it turns about on the frame `first`, metres
    beside (3,)      how far the turned path is moved away, metres
    drift (3,)       how the point it turns about goes along, metres a frame
    """

    rotation: Floats
    about: Floats
    beside: Floats
    drift: Floats
    first: float

    def to(self, frames: Floats, positions: Floats) -> Floats:
        """(T,3) where places (T,3) of frames (T,) are in the turned path."""
        about = self._about(frames)
        return np.asarray((positions - about) @ self.rotation.T + about + self.beside)

    def back(self, frames: Floats, positions: Floats) -> Floats:
        """(T,3) the places that `to` has turned."""
        about = self._about(frames)
        return np.asarray((positions - about - self.beside) @ self.rotation + about)

    def _about(self, frames: Floats) -> Floats:
        """(T,3) what is turned about, on frames (T,)."""
        gone = np.asarray(frames, dtype=np.float64) - self.first
        return np.asarray(self.about + gone[:, None] * self.drift)


def turned(
    frames: Floats, positions: Floats, *, axis: Axis, ahead: Floats, beside_m: float
) -> Turned:
    """How a path (T,3), metres, of frames (T,) is turned upright.

    side    about `ahead`, a level unit vector: what goes to the left goes up, what goes up goes to
            the right; the way ahead stays
    ahead   about the level axis across: what goes ahead goes up, what goes up goes back; of the
            mean travel, which would only rise, nothing is turned, and it goes along as it is

    It is moved up by `beside_m`: seen from the side, where it reads as a bounce, it stands over the
    true path, frame over frame, and nowhere on it.
    """
    left = np.cross(UP, ahead)
    drift = np.zeros(3)
    if axis == "ahead":
        drift = (positions[-1] - positions[0]) / max(float(frames[-1] - frames[0]), 1.0)
        drift = float(drift @ ahead) * ahead
    gone = (np.asarray(frames, dtype=np.float64) - frames[0])[:, None] * drift
    about = np.mean(positions - gone, axis=0)
    new = {"side": (ahead, UP, -left), "ahead": (UP, left, -ahead)}[axis]
    rotation = np.stack(new, axis=1) @ np.stack((ahead, left, UP))
    return Turned(rotation, about, beside_m * UP, drift, float(frames[0]))


def way_ahead(positions: Floats, facing: Floats, height_m: float) -> Floats:
    """(3,) level unit vector: where a path (T,3) leads, else where the figure faces (3,).

    A path leads somewhere where its ends are half a height apart, seen from above.
    """
    travel = (positions[-1] - positions[0]) * np.array([1.0, 1.0, 0.0])
    length = float(np.linalg.norm(travel))
    if length >= TRAVELS * height_m and length > 0.0:
        return np.asarray(travel / length)
    level = facing * np.array([1.0, 1.0, 0.0])
    length = float(np.linalg.norm(level))
    return np.asarray(level / length) if length > 0.0 else np.array([0.0, -1.0, 0.0])
