# SPDX-License-Identifier: GPL-3.0-or-later
"""The first pass: three faults planted on controls of the polished jump."""

from typing import Any

import bpy
import numpy as np

from ..captured.fcurves import bone_path, find_fcurve
from ..rigify_human.beziers import frozen
from ..rigify_human.faults import read_keys, spike, write_keys

# In the crouch, and as the arms go up in flight.
_ROOT_FRAME, _ROOT_M = 12, 0.04
_HAND_FRAME, _HAND_M = 23, 0.08
# After landing the right foot, which bears more, creeps ahead from the one frame to the other.
_SLIDE_FRAMES, _SLIDE_M = (33, 43), 0.07

PLANTED: tuple[dict[str, Any], ...] = (
    {
        "check": "pop",
        "part": "root",
        "frames": [_ROOT_FRAME, _ROOT_FRAME],
        "note": "A stray key on the torso control pushes the body aside for one frame.",
    },
    {
        "check": "pop",
        "part": "hand.R",
        "frames": [_HAND_FRAME, _HAND_FRAME],
        "note": "A stray key on the right hand's IK control drops the hand for one frame.",
    },
    {
        "check": "slide",
        "part": "foot.R",
        "frames": list(_SLIDE_FRAMES),
        "note": "The right foot's IK control is keyed ever further ahead after the landing.",
    },
)


def plant(rig: bpy.types.Object) -> None:
    """Turn the polished jump into its first pass."""
    spike(rig, "torso", _ROOT_FRAME, _ROOT_M, axis="x")
    spike(rig, "hand_ik.R", _HAND_FRAME, -_HAND_M, axis="z")
    _slide(rig, "foot_ik.R")


def _slide(rig: bpy.types.Object, control: str) -> None:
    """Move a foot's keys after the landing ahead, each further than the one before.

    The foot's control rests along the world's axes and stands in the root's space, so its
    second channel goes backwards. Handles are frozen and move along, so that the curve stays as
    it is up to the landing.
    """
    curve = find_fcurve(rig, bone_path(control, "location"), 1)
    keys = frozen(read_keys(curve))
    share = np.interp(keys.points[..., 0], _SLIDE_FRAMES, (0.0, 1.0))
    keys.points[..., 1] -= _SLIDE_M * share
    write_keys(curve, keys)
