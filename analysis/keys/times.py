# SPDX-License-Identifier: GPL-3.0-or-later
"""Scene frames and frames of the action: a strip shifts, stretches and turns time round."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..curves import Curve

Floats = NDArray[np.float64]

# By so much of a round a moment may fall short of the next one, and is its beginning.
_SAME_ROUND = 1e-6


def to_action(curve: Curve, frames: Any) -> Floats:
    """(N,) frames of the curve's action for scene frames (N,)."""
    first, scene_first, scale = _mapping(curve)
    return np.asarray(first + (np.asarray(frames, dtype=np.float64) - scene_first) / scale)


def to_scene(curve: Curve, action_frames: Any) -> Floats:
    """(N,) scene frames for frames (N,) of the curve's action."""
    first, scene_first, scale = _mapping(curve)
    return np.asarray(scene_first + (np.asarray(action_frames, dtype=np.float64) - first) * scale)


def in_first_play(curve: Curve, frames: Any) -> Floats:
    """(N,) scene frames of a strip's first round that play on scene frames (N,): a strip that
    repeats plays its action again, and at its ends it holds what plays there."""
    frames = np.asarray(frames, dtype=np.float64)
    if curve.strip_frames is None:
        return np.asarray(frames)
    first, last = curve.strip_frames
    frames = np.asarray(np.clip(frames, first, last))
    if curve.rounds is None:
        return np.asarray(frames)
    count, length = curve.rounds
    number = np.floor((frames - first) / length + _SAME_ROUND)
    # The last frame of whole rounds is the end of the last, not the beginning of one more.
    whole = (frames == last) & (round(count) == count)
    return np.asarray(frames - np.where(whole, count - 1.0, number) * length)


def weights_at(curve: Curve, frames: Any) -> Floats:
    """(N,) how much of a change in the curve's value the channel gains on scene frames (N,).

    Below 0 where a strip is subtracted; 0 where it is not heard or another one hides it. Of a
    strip that multiplies, or combines turns, it is the share alone: the rest its lower layers say.
    """
    frames = np.asarray(frames, dtype=np.float64)
    sign = -1.0 if curve.blend == "SUBTRACT" else 1.0
    if not curve.weight:
        return np.full(frames.shape, sign)
    moments, shares = zip(*curve.weight, strict=True)
    return np.asarray(sign * np.interp(frames, moments, shares))


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
