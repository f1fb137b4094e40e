# SPDX-License-Identifier: GPL-3.0-or-later
"""A captured motion at another frame rate, as a scene of 24 or 30 fps needs it."""

from dataclasses import replace

import numpy as np

from .motions import CapturedMotion
from .rotations import Floats, conjugate, continuous, multiply, normalise, rotate


def resample(motion: CapturedMotion, fps: float) -> CapturedMotion:
    """The motion at `fps` frames a second, first frame kept, last full frame inside it.

    The root's path and all rotations are interpolated by cubic Hermite splines through every
    frame (central slopes; rotations component by component and made unit again, which for
    turns of a few degrees a frame is slerp without its corners); joints follow from the
    bones' fixed lengths.
    """
    if not np.isfinite(fps) or fps <= 0.0:
        raise ValueError(f"fps is {fps:g}, expected a number above 0: pass a rate such as 24.")
    if fps == motion.fps:
        return motion
    last_s = (motion.frame_count - 1) / motion.fps
    count = int(np.floor(last_s * fps + 1e-6)) + 1
    at = np.minimum(np.arange(count) / fps * motion.fps, motion.frame_count - 1)
    rotations = continuous(normalise(_cubic(continuous(motion.rotations), at)))
    root = motion.parents.index(-1)
    positions = _hang(motion, _cubic(motion.positions[:, root], at), rotations)
    return replace(motion, fps=float(fps), positions=positions, rotations=rotations)


def _cubic(values: Floats, at: Floats) -> Floats:
    """Values (T, ...) at fractional indices (N,), by a cubic through all with central slopes."""
    slopes = np.gradient(values, axis=0)
    before = np.minimum(at.astype(int), len(values) - 2)
    u = (at - before).reshape(-1, *([1] * (values.ndim - 1)))
    a, b = values[before], values[before + 1]
    slope_a, slope_b = slopes[before], slopes[before + 1]
    rise = u * u * (3.0 - 2.0 * u)
    return a + rise * (b - a) + u * (1.0 - u) ** 2 * slope_a - u * u * (1.0 - u) * slope_b


def _hang(motion: CapturedMotion, root: Floats, rotations: Floats) -> Floats:
    """World heads (T,J,3) of the skeleton hung from the root's path (T,3)."""
    since_rest = multiply(rotations, conjugate(motion.rest_rotations))
    positions = np.zeros((*rotations.shape[:2], 3))
    for j, parent in enumerate(motion.parents):
        if parent < 0:
            positions[:, j] = root
            continue
        offset = motion.rest_positions[j] - motion.rest_positions[parent]
        positions[:, j] = positions[:, parent] + rotate(since_rest[:, parent], offset)
    return positions
