# SPDX-License-Identifier: GPL-3.0-or-later
"""The first pass of the imported jump: what goes wrong with keys on every frame."""

from collections.abc import Iterable, Iterator
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
_HEAD_FRAME, _HEAD_DEG = 46, 20.0

_ARM = ("Arm", "ForeArm", "Hand")
# In the arms' back-swing the left one is lost for some frames, whose keys repeat the last value
# before; a gap of the right one was filled evenly from the first frame to the second.
_HELD = (tuple(f"Left{bone}" for bone in _ARM), 14, 17)
_FILLED = (tuple(f"Right{bone}" for bone in _ARM), 12, 18)
# From the middle of its last swing on, the right arm was lost for good.
_LOST = (_FILLED[0], 47, 54)

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
    {
        "check": "hitch",
        "part": "upper_arm.L",
        "frames": list(_HELD[1:]),
        "note": "The left arm's keys repeat one value for four frames, then it catches up.",
    },
    {
        "check": "straight_run",
        "part": "upper_arm.R",
        "frames": list(_FILLED[1:]),
        "note": "A gap in the right arm's keys was filled evenly, so the arm cuts its swing short.",
    },
    {
        "check": "hard_stop",
        "part": "hand.R",
        "frames": [_LOST[1] - 1, _LOST[2]],
        "note": "The right arm's last keys are flat: it stops dead in its swing.",
    },
)


def plant(rig: bpy.types.Object, fps: float) -> None:
    """Turn the imported jump into its first pass."""
    _flatten_flight(rig, fps)
    nod = find_fcurve(rig, bone_path("Head", "rotation_euler"), 0)
    _add_to_keys(nod, {_HEAD_FRAME: float(np.radians(_HEAD_DEG))})
    for held in (_HELD, _LOST):
        _hold_turns(rig, *held)
    _fill_turns(rig, *_FILLED)


def _hold_turns(rig: bpy.types.Object, bones: Iterable[str], first: int, last: int) -> None:
    """Let bones' turns keep from one frame to another the values that they have just before."""
    for curve in _turns(rig, bones):
        values = _values(curve)
        held = {frame: values[first - 1] - values[frame] for frame in range(first, last + 1)}
        _add_to_keys(curve, held)


def _fill_turns(rig: bpy.types.Object, bones: Iterable[str], first: int, last: int) -> None:
    """Let bones' turns go evenly from one frame to another, as a gap in a capture is filled."""
    for curve in _turns(rig, bones):
        values = _values(curve)
        ends = (values[first], values[last])
        even = {at: float(np.interp(at, (first, last), ends)) for at in range(first, last + 1)}
        _add_to_keys(curve, {at: value - values[at] for at, value in even.items()})


def _turns(rig: bpy.types.Object, bones: Iterable[str]) -> Iterator[bpy.types.FCurve]:
    """The curves of the bones' turns."""
    for bone in bones:
        for index in range(3):
            yield find_fcurve(rig, bone_path(bone, "rotation_euler"), index)


def _values(curve: bpy.types.FCurve) -> dict[int, float]:
    """The keys' values by frame."""
    return {round(point.co.x): point.co.y for point in curve.keyframe_points}


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
