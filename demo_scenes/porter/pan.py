# SPDX-License-Identifier: GPL-3.0-or-later
"""A camera that stands and turns after what it films, keyed on smooth curves."""

from collections.abc import Mapping

import bpy
from mathutils import Euler, Vector

from ..captured.fcurves import ensure_fcurve, find_fcurve
from .keys import add_smooth_keys

TURN = "rotation_euler"
_PITCH, _ROLL, _YAW = 0, 1, 2
WORDS = {"pitch": _PITCH, "yaw": _YAW}


def key_pan(camera: bpy.types.Object, aims: Mapping[int, tuple[float, float, float]]) -> None:
    """Turn the camera to look at points in the world, frame -> point in metres."""
    turn: Euler | None = None
    turns = {}
    for frame, aim in sorted(aims.items()):
        level = (Vector(aim) - camera.location).to_track_quat("-Z", "Y")
        turn = level.to_euler("XYZ", turn) if turn else level.to_euler("XYZ")
        turns[frame] = turn
    for index in (_PITCH, _ROLL, _YAW):
        curve = ensure_fcurve(camera, TURN, index)
        add_smooth_keys(curve, {frame: each[index] for frame, each in turns.items()}, turns)


def pan_curve(camera: bpy.types.Object, word: str) -> bpy.types.FCurve:
    """The curve of the camera's pitch or yaw; raises KeyError where it is not keyed."""
    curve = find_fcurve(camera, TURN, WORDS[word])
    if curve is None:
        raise KeyError(f"The camera's {word} is not keyed.")
    return curve
