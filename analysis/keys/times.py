# SPDX-License-Identifier: GPL-3.0-or-later
"""Scene frames and frames of the action: a strip shifts, stretches and turns time round."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..curves import Curve

Floats = NDArray[np.float64]


def to_action(curve: Curve, frames: Any) -> Floats:
    """(N,) frames of the curve's action for scene frames (N,)."""
    first, scene_first, scale = _mapping(curve)
    return np.asarray(first + (np.asarray(frames, dtype=np.float64) - scene_first) / scale)


def to_scene(curve: Curve, action_frames: Any) -> Floats:
    """(N,) scene frames for frames (N,) of the curve's action."""
    first, scene_first, scale = _mapping(curve)
    return np.asarray(scene_first + (np.asarray(action_frames, dtype=np.float64) - first) * scale)


def scale_of(curve: Curve) -> float:
    """Scene frames for one frame of the action; 1 where neither the curve nor its keys tell."""
    return _mapping(curve)[2]


def _mapping(curve: Curve) -> tuple[float, float, float]:
    """A key's frame in the action and in the scene, and scene frames for one of the action."""
    if not curve.frames:
        raise ValueError(f"{curve.control} {curve.channel} has no keys; expected one or more.")
    first, scene_first = curve.action_frames[0], curve.frames[0]
    scale = curve.time_scale
    if scale is None:
        length = curve.action_frames[-1] - first
        scale = (curve.frames[-1] - scene_first) / length if length else 1.0
    return first, scene_first, scale or 1.0
