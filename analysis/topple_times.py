# SPDX-License-Identifier: GPL-3.0-or-later
"""How long a stiff body takes to topple: as a rod, as a pendulum that stands on its end.

A body that tips about its feet leans by an angle whose acceleration is rate2 * sin(lean):
rate2 = 3 g / 2 L for an even rod of length L, g / l for a mass at the distance l. Its speed
follows from what it has fallen, w^2 = w0^2 + 2 rate2 (cos start - cos lean), and the time from
that by integration (mechanics of rigid bodies, derived). People are near a rod of their height:
Winter's segments, standing straight, give 1.48 g / H, the rod 1.5 g / H.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .free_fall import GRAVITY

Floats = NDArray[np.float64]

LEAST_SAMPLES = 5

# Enough for a thousandth of a second from the smallest lean on.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(96)


def rod_rate2(height: float, gravity: float = GRAVITY) -> float:
    """1/s2 of an even rod as long as `height`."""
    return 1.5 * gravity / height


def pendulum_rate2(length: float, gravity: float = GRAVITY) -> float:
    """1/s2 of a mass at a distance `length` from what it tips about."""
    return gravity / length


def topple_s(start: float, end: float, rate2: float, speed: float = 0.0) -> float:
    """Seconds from one lean to a larger one (radians), begun at a speed of `speed` rad/s.

    Infinite where it would never get there: from rest at 0, or without a way to go.
    """
    if end <= start:
        return 0.0
    # In u, where lean = start + (end - start) u^2, the start from rest is no longer infinite.
    u = 0.5 * (_NODES + 1.0)
    lean = start + (end - start) * u**2
    square = speed**2 + 2.0 * rate2 * (np.cos(start) - np.cos(lean))
    if (speed <= 0.0 and start <= 0.0) or float(square.min()) <= 0.0:
        return float("inf")
    return float(np.sum(0.5 * _WEIGHTS * 2.0 * (end - start) * u / np.sqrt(square)))


@dataclass(frozen=True)
class ToppleFit:
    """rate2   1/s2, see above: how fast a lean gains speed; error: its standard error
    speed   rad/s at the first sample
    """

    rate2: float
    error: float
    speed: float


def fit_topple(lean: Floats, dt_s: float) -> ToppleFit | None:
    """The rate that fits leans (N,), radians, best; None with fewer than five samples.

    The equation is integrated twice, lean = c0 + c1 t + rate2 * (sin(lean) summed twice), and
    fitted by least squares, so that nothing is differentiated. As errors of smooth motion follow
    each other, three neighbouring samples count as one.
    """
    count = len(lean)
    if count < LEAST_SAMPLES:
        return None
    push = np.sin(lean)
    speeds = np.concatenate(([0.0], np.cumsum(0.5 * (push[1:] + push[:-1])) * dt_s))
    # By parts of a step: exact where the push grows evenly over it.
    steps = speeds[:-1] * dt_s + (push[:-1] / 3.0 + push[1:] / 6.0) * dt_s**2
    twice = np.concatenate(([0.0], np.cumsum(steps)))
    columns = np.stack((np.ones(count), np.arange(count) * dt_s, twice), axis=1)
    inverse = np.linalg.pinv(columns.T @ columns)
    fitted = inverse @ columns.T @ lean
    left = lean - columns @ fitted
    variance = float(left @ left) / max(count / 3.0 - 3.0, 1.0)
    error = float(np.sqrt(max(variance * inverse[2, 2], 0.0)))
    return ToppleFit(float(fitted[2]), error, float(fitted[1]))


def rest_lean(lean: Floats, fit: ToppleFit) -> float | None:
    """The lean at which a body began at rest that topples like this; None where there is none.

    Its speed at the first sample tells what it has fallen by then.
    """
    if fit.rate2 <= 0.0 or fit.speed < 0.0:
        return None
    cosine = np.cos(lean[0]) + fit.speed**2 / (2.0 * fit.rate2)
    return float(np.arccos(cosine)) if cosine < 1.0 else None
