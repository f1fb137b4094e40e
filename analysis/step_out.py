# SPDX-License-Identifier: GPL-3.0-or-later
"""Take a step out of a path, see what is left: the counterpart of `leave_out` for paths that
go on elsewhere.

Between two samples a step is fitted together with a cubic through four samples on either
side. The step's size says how far the path goes on elsewhere; the leave-one-out residual
that is left nearby when the step is taken out says how smooth the path is but for it.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from .leave_out import NEARBY, leave_one_out, reflect

Floats = NDArray[np.float64]

# Samples on either side, and the polynomial's degree.
REACH, DEGREE = 4, 3


def step_out(values: Floats) -> tuple[Floats, Floats]:
    """The step before every sample of paths (T,...,3).

    Returns steps (T,...,3), from the sample before to this one, and (T,...) the largest
    residual that is left nearby without it. The first REACH samples and the last REACH - 1
    have no step; shorter paths give zeros.
    """
    count, shape = len(values), values.shape[1:]
    steps, left = np.zeros(values.shape), np.zeros(values.shape[:-1])
    if count < 2 * REACH:
        return steps, left
    fit, rest = _matrices()
    margin = fit.shape[1] // 2
    padded = reflect(np.asarray(values, dtype=np.float64).reshape(count, -1), margin)
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * margin, axis=0)
    inside = slice(REACH, count - REACH + 1)
    windows = windows[inside]
    steps[inside] = (windows @ fit.T)[..., 0].reshape(-1, *shape)
    residuals = (windows @ rest.T).transpose(0, 2, 1).reshape(len(windows), -1, *shape)
    left[inside] = np.linalg.norm(residuals, axis=-1).max(axis=1)
    return steps, left


@lru_cache(maxsize=1)
def _matrices() -> tuple[Floats, Floats]:
    """(1, window): the step in its middle; (residuals, window): what is left without it."""
    one = leave_one_out()
    beside = one.shape[1] // 2
    margin = NEARBY + beside
    time = np.arange(2 * REACH) - (REACH - 0.5)
    model = np.column_stack((time > 0.0, np.vander(time, DEGREE + 1)))
    fit = np.zeros((1, 2 * margin))
    fit[0, margin - REACH : margin + REACH] = np.linalg.pinv(model)[0]
    after = (np.arange(2 * margin) >= margin).astype(np.float64)
    repair = np.eye(2 * margin) - np.outer(after, fit[0])
    rows = []
    for centre in range(beside, 2 * margin - beside):
        row = np.zeros((1, 2 * margin))
        row[:, centre - beside : centre + beside + 1] = one
        rows.append(row @ repair)
    return fit, np.concatenate(rows)
