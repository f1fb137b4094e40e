# SPDX-License-Identifier: GPL-3.0-or-later
"""What an arc is held against: the free path of what is in the air, eased ways of a turn."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis.ball import BallBasis
from ..drawn.free_paths import FreePath
from ..flown import Flown
from .stretches import Stretch
from .travel import place_at

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Ideal:
    """frames (N,), places (N,3) scene metres, off_m (N,) story metres that the arc is off it;
    landing (3,) where that comes down; missed (3,): from there to where it lands, scene metres."""

    frames: Floats
    places: Floats
    off_m: Floats
    landing: Floats | None = None
    missed: Floats | None = None
    landing_off_m: float | None = None

    @property
    def worst_frame(self) -> float | None:
        """Where the arc is off it the most; None of no ideal."""
        return float(self.frames[int(np.argmax(self.off_m))]) if len(self.frames) else None


NO_IDEAL = Ideal(np.zeros(0), np.zeros((0, 3)), np.zeros(0))


def free_ideal(basis: BallBasis, flown: Flown, path: FreePath) -> Ideal:
    """The free path of a flight, up to where the ball lands."""
    kept = path.frames <= basis.frames[flown.lands] + 1e-6
    frames, places = path.frames[kept], path.positions[kept]
    off = np.linalg.norm(_ball(basis, frames) - places, axis=1) * basis.height.to_story
    if path.landing is None:
        return Ideal(frames, places, off)
    missed = basis.positions[flown.lands, 0] - path.positions[-1]
    missed[2] = 0.0
    far = float(np.linalg.norm(missed)) * basis.height.to_story
    return Ideal(frames, places, off, path.landing, missed, far)


def eased_ideal(basis: BallBasis, stretch: Stretch, values: Floats, way: Floats) -> Ideal:
    """A turn whose ways are eased as a sine's are, from and to the same extremes.

    values (T,)   how far it goes along unit vectors `way` (T,3)
    """
    samples = np.arange(int(np.ceil(stretch.begins[0])), int(stretch.ends[0]) + 1)
    eased = np.where(
        samples <= stretch.top[0],
        _eased(samples, stretch.begins, stretch.top),
        _eased(samples, stretch.top, stretch.ends),
    )
    off = eased - values[samples]
    places = basis.positions[samples, 0] + off[:, None] * way[samples]
    return Ideal(basis.frames[samples], places, np.abs(off) * basis.height.to_story)


def _eased(
    samples: NDArray[np.int64], start: tuple[float, float], end: tuple[float, float]
) -> Floats:
    passed = np.clip((samples - start[0]) / max(end[0] - start[0], 1e-9), 0.0, 1.0)
    return np.asarray(start[1] + (end[1] - start[1]) * (0.5 - 0.5 * np.cos(np.pi * passed)))


def _ball(basis: BallBasis, frames: Floats) -> Floats:
    """(N,3) where the ball is on frames (N,), with fractions."""
    step = float(basis.frames[1] - basis.frames[0])
    return np.array([place_at(basis, float(at)) for at in (frames - basis.frames[0]) / step])
