# SPDX-License-Identifier: GPL-3.0-or-later
"""A captured motion as the text of a BVH file; numpy only.

The file is what a capture studio hands over: centimetres, Y up, looking along +Z, joints under
the names that are usual in BVH files, one row of channels a frame.
"""

import numpy as np

from ..captured.motions import CapturedMotion
from ..captured.rotations import Floats, conjugate, multiply, rotate

CM = 100.0
# Where Blender's x, y and z go in the file: Z up becomes Y up, looking along -Y becomes +Z.
WORLD_TO_FILE: Floats = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])

_NAMES = {
    "hips": "Hips",
    "chest": "Chest",
    "neck": "Neck",
    "head": "Head",
    "upper_arm": "Arm",
    "forearm": "ForeArm",
    "hand": "Hand",
    "thigh": "UpLeg",
    "shin": "Leg",
    "foot": "Foot",
}
_SIDES = {"": "", "L": "Left", "R": "Right"}
# Z first and X last: X, about which limbs swing far, may turn by any angle.
_TURNS = "Zrotation Yrotation Xrotation"
_PLACES = "Xposition Yposition Zposition"


def bvh_name(joint: str) -> str:
    """What a captured joint is called in the file: thigh.L is LeftUpLeg."""
    part, _, side = joint.partition(".")
    return _SIDES[side] + _NAMES[part]


def bvh_text(motion: CapturedMotion) -> str:
    """The whole file: rest pose as the hierarchy, then every frame."""
    order = _depth_first(motion)
    root = order[0]
    angles = _angles_deg(motion)
    places = CM * motion.positions[:, root] @ WORLD_TO_FILE.T
    rows = np.concatenate((places, angles[:, order].reshape(len(angles), -1)), axis=1)
    lines = ["HIERARCHY", *_joint(motion, root, 0), "MOTION", f"Frames: {motion.frame_count}"]
    lines.append(f"Frame Time: {1.0 / motion.fps:.10f}")
    lines += [" ".join(f"{value:.6f}" for value in row) for row in rows]
    return "\n".join(lines) + "\n"


def _children(motion: CapturedMotion, joint: int) -> list[int]:
    return [j for j, parent in enumerate(motion.parents) if parent == joint]


def _depth_first(motion: CapturedMotion) -> list[int]:
    """Joints in the order in which the hierarchy names them, which is that of the channels."""
    found, waiting = [], [motion.parents.index(-1)]
    while waiting:
        joint = waiting.pop(0)
        found.append(joint)
        waiting = _children(motion, joint) + waiting
    return found


def _joint(motion: CapturedMotion, joint: int, depth: int) -> list[str]:
    """The lines of a joint and of all below it."""
    parent = motion.parents[joint]
    offset = motion.rest_positions[joint] - (motion.rest_positions[parent] if parent >= 0 else 0.0)
    channels = f"3 {_TURNS}" if parent >= 0 else f"6 {_PLACES} {_TURNS}"
    below = [
        line for child in _children(motion, joint) for line in _joint(motion, child, depth + 1)
    ]
    if not below:
        along = np.array([0.0, motion.lengths[joint], 0.0])
        tip = rotate(motion.rest_rotations[joint], along)
        below = _braced("End Site", [_offset(tip, depth + 2)], depth + 1)
    kind = "JOINT" if parent >= 0 else "ROOT"
    inside = [_offset(offset, depth + 1), "  " * (depth + 1) + f"CHANNELS {channels}", *below]
    return _braced(f"{kind} {bvh_name(motion.joints[joint])}", inside, depth)


def _braced(head: str, inside: list[str], depth: int) -> list[str]:
    space = "  " * depth
    return [space + head, space + "{", *inside, space + "}"]


def _offset(metres: Floats, depth: int) -> str:
    numbers = " ".join(f"{value:.6f}" for value in CM * WORLD_TO_FILE @ metres)
    return "  " * depth + f"OFFSET {numbers}"


def _angles_deg(motion: CapturedMotion) -> Floats:
    """(T,J,3) each joint's turn since rest against its parent: degrees about Z, then Y, then X."""
    since_rest = multiply(motion.rotations, conjugate(motion.rest_rotations))
    own = since_rest.copy()
    for joint, parent in enumerate(motion.parents):
        if parent >= 0:
            own[:, joint] = multiply(conjugate(since_rest[:, parent]), since_rest[:, joint])
    in_file = np.concatenate((own[..., :1], own[..., 1:] @ WORLD_TO_FILE.T), axis=-1)
    x, y, z = (rotate(in_file, axis) for axis in np.eye(3))  # the columns of Rz Ry Rx
    angles = (
        np.arctan2(x[..., 1], x[..., 0]),
        np.arcsin(np.clip(-x[..., 2], -1.0, 1.0)),
        np.arctan2(y[..., 2], z[..., 2]),
    )
    return np.degrees(np.unwrap(np.stack(angles, axis=-1), axis=0))
