# SPDX-License-Identifier: GPL-3.0-or-later
"""Finite-support smoothing and derivatives, with windows in seconds.

Local least-squares polynomials (Savitzky & Golay 1964, Anal. Chem. 36:1627). A window
never reaches further than half its length, so part of a clip can be judged alone.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from .errors import SettingsError

Floats = NDArray[np.float64]


def window_frames(window_s: float, dt_s: float, *, degree: int = 3) -> int:
    """The odd number of samples nearest to `window_s`, never fewer than `degree` + 2."""
    half = max(round(window_s / dt_s / 2.0), (degree + 2) // 2)
    return 2 * half + 1


def smooth(
    values: Floats, dt_s: float, *, window_s: float, degree: int = 3, derivative: int = 0
) -> Floats:
    """Smooth along the first axis, or differentiate while smoothing.

    values (T, ...) evenly spaced by dt_s seconds; the result has the unit of the values
    per second to the power of `derivative`. Within half a window of the ends the
    polynomial of the first or last full window is used. A clip shorter than the window
    is fitted as a whole, by a lower degree when it has too few samples.
    Raises SettingsError when the derivative exceeds the degree.
    """
    if not 0 <= derivative <= degree:
        raise SettingsError(f"derivative is {derivative}, expected 0 to degree {degree}.")
    series = np.asarray(values, dtype=np.float64)
    count = len(series)
    window = min(window_frames(window_s, dt_s, degree=degree), count - 1 + count % 2)
    window = max(window, 1)
    degree = min(degree, window - 1)
    if derivative > degree:
        return np.zeros_like(series)
    half = window // 2
    flat = series.reshape(count, -1)
    result = np.zeros_like(flat)
    weights = [
        _weights(window, degree, derivative, position) / dt_s**derivative
        for position in range(window)
    ]
    views = np.lib.stride_tricks.sliding_window_view(flat, window, axis=0)
    result[half : count - half] = views @ weights[half]
    for edge in range(half):
        result[edge] = weights[edge] @ flat[:window]
        result[count - 1 - edge] = weights[window - 1 - edge] @ flat[count - window :]
    return result.reshape(series.shape)


@lru_cache(maxsize=512)
def _weights(window: int, degree: int, derivative: int, position: int) -> Floats:
    """Weights of the least-squares polynomial's derivative at one place of the window."""
    offsets = np.arange(window, dtype=np.float64) - position
    powers = np.vander(offsets, degree + 1, increasing=True)
    factorial = float(np.prod(np.arange(1, derivative + 1)))
    weights = np.linalg.pinv(powers)[derivative] * factorial
    weights.flags.writeable = False
    return np.asarray(weights)
