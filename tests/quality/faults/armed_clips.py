# SPDX-License-Identifier: GPL-3.0-or-later
"""What the faults of a blade have in common: where they may lie, their frames, directions."""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from ..blade import NAME
from ..timing import smooth_step

Floats = NDArray[np.float64]

EDGE = 4
PROP = "prop.1"
# Led in and out within so many frames.
LED_IN = 3


def side_of(clip: Clip) -> str:
    return clip.meta.props[0].held_by[-1]


def frames(clip: Clip, first: int, last: int) -> tuple[float, float]:
    first, last = max(first, 0), min(last, len(clip.frames) - 1)
    return float(clip.frames[first]), float(clip.frames[last])


def weights(count: int, first: int, last: int, led: int) -> Floats:
    """(T,) 1 over first..last, and eased to 0 within `led` samples on either side."""
    at = np.arange(count)
    out = np.maximum(first - at, at - last).clip(0) / led
    return smooth_step(np.clip(1.0 - out, 0.0, 1.0))


def blade_way(clip: Clip) -> Floats:
    """(T,3) from the grip to the tip."""
    return quat.rotate(clip.rotations[:, clip.joint(NAME)], np.array([0.0, 1.0, 0.0]))


def unit(vectors: Floats) -> Floats:
    return vectors / np.maximum(np.linalg.norm(vectors, axis=-1, keepdims=True), 1e-12)
