# SPDX-License-Identifier: GPL-3.0-or-later
"""The first pass of the imported jump: the hips' height in flight and one key of the head."""

from typing import Any

import bpy
import numpy as np

from ..captured.fcurves import bone_path, find_fcurve
from ..captured.rotations import Floats

# The flight: both feet are off the floor between these frames.
TAKE_OFF, LANDING = 25, 38
GRAVITY_M_S2 = 9.80665
# The arc 1 - u^2 of a fall, u from -1 at take-off to 1 at landing, becomes 1 - u^4, flat at its
# top (71 % of the time in the top quarter instead of 50 %), and a sixth higher.
HIGHER = 7.0 / 6.0
# The captured body comes down by so much on the way; the flat top is level for all that.
LOWER_M = 0.019
_HEAD_FRAME, _HEAD_DEG = 12, 20.0

PLANTED: tuple[dict[str, Any], ...] = (
    {
        "check": "hang_time",
        "part": "root",
        "frames": [TAKE_OFF + 1, LANDING - 1],
        "note": "The hips' height keys were flattened at the top: they shoot up, float and drop.",
    },
    {
        "check": "pop",
        "part": "head",
        "frames": [_HEAD_FRAME, _HEAD_FRAME],
        "note": "A stray key nods the head for one frame.",
    },
)


def plant(rig: bpy.types.Object, fps: float) -> None:
    """Turn the imported jump into its first pass."""
    _flatten_flight(rig, fps)
    nod = find_fcurve(rig, bone_path("Head", "rotation_euler"), 0)
    _add_to_keys(nod, {_HEAD_FRAME: float(np.radians(_HEAD_DEG))})


def _flatten_flight(rig: bpy.types.Object, fps: float) -> None:
    """Make the top of the flight's arc flat by the hips' height, whose channels lie aslant."""
    frames = np.arange(TAKE_OFF + 1, LANDING)
    half = 0.5 * (LANDING - TAKE_OFF)
    u = (frames - TAKE_OFF) / half - 1.0
    rise = 0.5 * GRAVITY_M_S2 * (half / fps) ** 2
    higher = rise * (HIGHER * (1.0 - u**4) - (1.0 - u**2)) + 0.5 * LOWER_M * (u - u**3)
    up = np.linalg.inv(_rest_axes(rig, "Hips")) @ [0.0, 0.0, 1.0]
    for index, share in enumerate(up):
        curve = find_fcurve(rig, bone_path("Hips", "location"), index)
        _add_to_keys(curve, dict(zip(frames.tolist(), (share * higher).tolist(), strict=True)))


def _rest_axes(rig: bpy.types.Object, bone: str) -> Floats:
    """(3,3) a bone's axes at rest as columns, in the world."""
    return np.array((rig.matrix_world @ rig.data.bones[bone].matrix_local).to_3x3())


def _add_to_keys(curve: bpy.types.FCurve, changes: dict[int, float]) -> None:
    """Add to the values of the keys on some frames; all others stay as they are."""
    for point in curve.keyframe_points:
        point.co.y += changes.get(round(point.co.x), 0.0)
    curve.update()
