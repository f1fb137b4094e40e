# SPDX-License-Identifier: GPL-3.0-or-later
"""Arcs and spacing of one path: measured, never alarmed.

From motion alone good and bad arcs do not part: clean captured and clean keyed motion overlap
in all of these. They are numbers to compare shots, parts and passes by.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .smoothing import smooth
from .strokes import Stroke, find_strokes, turning_points

Floats = NDArray[np.float64]

# Paths are differentiated over this window; see `smoothing`.
WINDOW_S = 0.2
# Slower than this share of a stroke's top speed, direction is noise.
MOVING_SHARE = 0.2
# Radii beyond this many times the path's own size are straight lines to a power law.
STRAIGHT = 50.0
# A power law needs this many samples.
FEWEST = 8


@dataclass(frozen=True, eq=False)
class Motion:
    """A path (T,3) with its velocity and acceleration, per second, and its speed (T,)."""

    path: Floats
    velocity: Floats
    acceleration: Floats
    speed: Floats


def motion_of(path: Floats, dt_s: float) -> Motion:
    """Differentiate a path (T,3), smoothed over a fifth of a second."""
    velocity = smooth(path, dt_s, window_s=WINDOW_S, derivative=1)
    acceleration = smooth(path, dt_s, window_s=WINDOW_S, derivative=2)
    return Motion(path, velocity, acceleration, np.linalg.norm(velocity, axis=-1))


def curvature(motion: Motion) -> Floats:
    """(T,) 1/m: |v x a| / |v|^3; 0 where the point stands still."""
    across = np.linalg.norm(np.cross(motion.velocity, motion.acceleration), axis=-1)
    cubed = motion.speed**3
    tiny = 1e-12 * max(float(cubed.max(initial=0.0)), 1e-300)
    return np.asarray(np.where(cubed > tiny, across / np.maximum(cubed, tiny), 0.0))


def arc_height(path: Floats) -> float:
    """How far a path (N,3) rises off the chord between its ends, as a share of the chord.

    Infinite where it ends where it began.
    """
    way = path - path[0]
    chord = float(np.linalg.norm(way[-1]))
    if chord == 0.0:
        return float("inf")
    along = way @ (way[-1] / chord)
    off = way - along[:, None] * (way[-1] / chord)
    return float(np.linalg.norm(off, axis=-1).max()) / chord


def power_exponent(motion: Motion, bend: Floats, moving: NDArray[np.bool_]) -> float | None:
    """The exponent b of speed = K * radius^b over some samples; None where it cannot be told.

    bend (T,)   its curvature; moving (T,) which samples

    1/3 for movements that follow the two-thirds power law (Lacquaniti, Terzuolo & Viviani
    1983, Acta Psychologica 54:115-130); 0 for even speed whatever the curve.
    """
    size = float(np.ptp(motion.path, axis=0).max())
    curved = moving & (bend * size * STRAIGHT > 1.0)
    if np.count_nonzero(curved) < FEWEST:
        return None
    radius, speed = -np.log(bend[curved]), np.log(motion.speed[curved])
    spread = radius - radius.mean()
    square = float(spread @ spread)
    return float(spread @ speed) / square if square > 1e-9 else None


def moving_strokes(motion: Motion, least_m: float) -> list[Stroke]:
    """Strokes whose ends lie at least `least_m` apart."""
    return [
        stroke
        for stroke in find_strokes(motion.speed)
        if np.linalg.norm(motion.path[stroke.last] - motion.path[stroke.first]) >= least_m
    ]


def moving_samples(motion: Motion, strokes: list[Stroke]) -> NDArray[np.bool_]:
    """(T,) samples of some strokes that are not slow."""
    moving = np.zeros(len(motion.path), dtype=bool)
    for stroke in strokes:
        speed = motion.speed[stroke.span]
        moving[stroke.span] |= speed >= MOVING_SHARE * speed.max()
    return moving


def reversals(path: Floats, least_m: float) -> int:
    """How often a path (T,3) turns back along the line that it mostly moves on.

    A turn counts when the point has come back by `least_m` from its furthest place.
    """
    spread = path - path.mean(axis=0)
    _spreads, axes = np.linalg.eigh(spread.T @ spread)
    along = spread @ axes[:, -1]
    count, direction = 0, 0
    low = high = float(along[0])
    for value in along[turning_points(along)[1:]].tolist():
        high, low = max(high, value), min(low, value)
        if direction >= 0 and value < high - least_m:
            count += direction == 1
            direction, low, high = -1, value, value
        elif direction <= 0 and value > low + least_m:
            count += direction == -1
            direction, low, high = 1, value, value
    return int(count)
