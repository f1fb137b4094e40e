# SPDX-License-Identifier: GPL-3.0-or-later
"""A small figure with known motion, and known faults, for tests that need no Blender."""

import numpy as np

from analysis import Clip, Meta
from analysis import quaternions as quat

# joint: (parent, offset from the parent's joint at rest, way to the tip), metres, facing -Y.
SKELETON = {
    "root": (None, (0, 0, 0.95), (0, 0, 0.15)),
    "chest": ("root", (0, 0, 0.35), (0, 0, 0.2)),
    "neck": ("chest", (0, 0, 0.22), (0, 0, 0.1)),
    "head": ("neck", (0, 0, 0.1), (0, 0, 0.16)),
    "upper_arm.L": ("chest", (0.2, 0, 0.15), (0, 0, -0.3)),
    "forearm.L": ("upper_arm.L", (0, 0, -0.3), (0, 0, -0.26)),
    "hand.L": ("forearm.L", (0, 0, -0.26), (0, 0, -0.15)),
    "upper_arm.R": ("chest", (-0.2, 0, 0.15), (0, 0, -0.3)),
    "forearm.R": ("upper_arm.R", (0, 0, -0.3), (0, 0, -0.26)),
    "hand.R": ("forearm.R", (0, 0, -0.26), (0, 0, -0.15)),
    "thigh.L": ("root", (0.1, 0, 0), (0, 0, -0.45)),
    "shin.L": ("thigh.L", (0, 0, -0.45), (0, 0, -0.42)),
    "foot.L": ("shin.L", (0, 0, -0.42), (0, -0.16, -0.08)),
    "thigh.R": ("root", (-0.1, 0, 0), (0, 0, -0.45)),
    "shin.R": ("thigh.R", (0, 0, -0.45), (0, 0, -0.42)),
    "foot.R": ("shin.R", (0, 0, -0.42), (0, -0.16, -0.08)),
}
NAMES = tuple(SKELETON)
PARENTS = np.array([-1 if p is None else NAMES.index(p) for p, _o, _t in SKELETON.values()])
OFFSETS = np.array([offset for _p, offset, _t in SKELETON.values()], dtype=float)
TIPS = np.array([tip for _p, _o, tip in SKELETON.values()], dtype=float)


def about_x(angle):
    """Quaternions (T,4) that turn by angles (T,) about the world's X axis at rest."""
    return np.stack((np.cos(angle / 2), np.sin(angle / 2), 0 * angle, 0 * angle), axis=-1)


def along(way):
    """The rest orientation with Y along `way` (3,)."""
    y = np.asarray(way, dtype=float) / np.linalg.norm(way)
    x = np.array([1.0, 0.0, 0.0])
    return quat.from_axes(x, y, np.cross(x, y))


REST = np.array([along(tip) for tip in TIPS])


def figure(
    *, frames=48, fps=24.0, period_s=1.0, scale=1.0, speed=1.4, turns=None, shift=None, **meta
):
    """A figure that strides: limbs swing as sines, the root bobs and travels along -Y.

    turns {joint: (T,) radians} adds turns about the figure's own X to a joint's swing;
    shift (T,3) is added to the root. The motion repeats after `period_s` seconds.
    """
    time = np.arange(frames) / fps
    phase = 2 * np.pi * time / period_s
    swing = {
        "thigh.L": 0.45 * np.sin(phase),
        "thigh.R": -0.45 * np.sin(phase),
        "shin.L": 0.3 - 0.25 * np.cos(phase + 0.6),
        "shin.R": 0.3 + 0.25 * np.cos(phase + 0.6),
        "upper_arm.L": -0.35 * np.sin(phase - 0.2),
        "upper_arm.R": 0.35 * np.sin(phase - 0.2),
        "forearm.L": -0.3 - 0.15 * np.sin(phase - 0.6),
        "forearm.R": -0.3 + 0.15 * np.sin(phase - 0.6),
        "chest": 0.05 * np.sin(2 * phase),
        "head": -0.04 * np.sin(2 * phase - 0.3),
    }
    for joint, extra in (turns or {}).items():
        swing[joint] = swing.get(joint, 0 * time) + extra
    root = np.stack((0.02 * np.sin(phase), -speed * time, 0.95 + 0.02 * np.cos(2 * phase)), axis=-1)
    if shift is not None:
        root = root + shift
    turn, place = pose(swing, root, frames)
    return to_clip(turn, place * scale, fps, scale, meta)


def steered(*, frames=48, fps=24.0, root_shift=None, foot_shift=None, **meta):
    """The figure stands swaying, its feet steered by two-bone IK: they stay where they are.

    root_shift, foot_shift (T,3) are added to the root and to the left foot's target.
    """
    phase = 2 * np.pi * np.arange(frames) / fps
    zero = 0.0 * phase
    root = np.stack((0.02 * np.sin(phase), 0.01 * np.cos(phase), 0.87 + 0.02 * np.sin(phase)), -1)
    root = root + (0.0 if root_shift is None else root_shift)
    swing = {"upper_arm.L": 0.2 * np.sin(phase), "upper_arm.R": -0.2 * np.sin(phase)}
    for side, x in (("L", 0.1), ("R", -0.1)):
        target = np.stack((zero + x, zero, zero + 0.08), axis=-1)
        if side == "L" and foot_shift is not None:
            target = target + foot_shift
        way = target - root
        reach = np.hypot(way[:, 1], way[:, 2])
        lean = np.arctan2(way[:, 1], -way[:, 2])
        thigh = lean - np.arccos((0.45**2 + reach**2 - 0.42**2) / (2 * 0.45 * reach))
        shin = lean + np.arccos((0.42**2 + reach**2 - 0.45**2) / (2 * 0.42 * reach))
        swing.update({f"thigh.{side}": thigh, f"shin.{side}": shin - thigh, f"foot.{side}": -shin})
    turn, place = pose(swing, root, frames)
    for part in ("thigh", "shin", "foot"):  # legs swing in planes: hips go sideways with the feet
        for side in ("L", "R"):
            place[:, NAMES.index(f"{part}.{side}"), 0] -= root[:, 0]
    if foot_shift is not None:
        for part in ("thigh.L", "shin.L", "foot.L"):
            place[:, NAMES.index(part), 0] += foot_shift[:, 0]
    return to_clip(turn, place, fps, 1.0, meta)


def pose(swing, root, frames):
    """Forward kinematics: world turns from rest (T,J,4) and positions (T,J,3)."""
    turn = np.zeros((frames, len(NAMES), 4))
    place = np.zeros((frames, len(NAMES), 3))
    for j, name in enumerate(NAMES):
        own = about_x(swing.get(name, np.zeros(frames)))
        parent = PARENTS[j]
        turn[:, j] = own if parent < 0 else quat.multiply(turn[:, parent], own)
        if parent < 0:
            place[:, j] = root
        else:
            offset = np.broadcast_to(OFFSETS[j], (frames, 3))
            place[:, j] = place[:, parent] + quat.rotate(turn[:, parent], offset)
    return turn, place


def to_clip(turn, place, fps, scale, meta):
    rest = np.zeros((len(NAMES), 3))
    for j, parent in enumerate(PARENTS):
        rest[j] = OFFSETS[j] + (0.0 if parent < 0 else rest[parent])
    return Clip(
        frames=np.arange(1, len(place) + 1),
        fps=fps,
        joints=NAMES,
        parents=PARENTS,
        positions=place,
        rotations=quat.multiply(turn, np.broadcast_to(REST, turn.shape)),
        rest_positions=rest * scale,
        rest_rotations=REST,
        lengths=np.linalg.norm(TIPS, axis=1) * scale,
        meta=Meta(**{"name": "figure", **meta}),
    )


def with_mover(clip, path):
    """The clip with one more joint, `mover`, that goes along path (T,3) without turning."""
    changed = dict(vars(clip))
    still = np.tile([1.0, 0, 0, 0], (len(path), 1, 1))
    changed.update(
        joints=(*clip.joints, "mover"),
        parents=[*clip.parents, -1],
        positions=np.concatenate((clip.positions, path[:, None]), axis=1),
        rotations=np.concatenate((clip.rotations, still), axis=1),
        rest_positions=None,
        rest_rotations=None,
        lengths=None,
    )
    return type(clip)(**changed)


def spike(frames, at, size, width=1):
    """(T,) zero but for `width` samples from index `at`."""
    series = np.zeros(frames)
    series[at : at + width] = size
    return series


def names(shot):
    """(check, part) of a shot's findings, in order."""
    return [(finding.check, finding.part) for finding in shot.findings]


def arrays(**changes):
    """Arrays of the smallest clip: a root and its tip, standing still for three frames."""
    given = {
        "frames": [1, 2, 3],
        "fps": 24,
        "joints": ["root", "tip"],
        "parents": [-1, 0],
        "positions": np.zeros((3, 2, 3)),
        "rotations": np.tile([1.0, 0, 0, 0], (3, 2, 1)),
    }
    return {**given, **changes}
