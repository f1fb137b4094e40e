# SPDX-License-Identifier: GPL-3.0-or-later
"""Where the rig's pelvis, trunk, head and arms have to be, from a captured motion.

Every part is told by its turn since rest, in the world: the rig's part makes the same turn
from its own rest. Arms rest differently (captured: hanging; rig: held out), so the rig's are
first laid along the captured ones. Lengths are scaled by the ratio of the legs.
"""

from dataclasses import dataclass

import bpy
import numpy as np

from ..captured.motions import CapturedMotion
from ..captured.rotations import (
    Floats,
    conjugate,
    continuous,
    from_matrix,
    multiply,
    normalise,
    rotate,
    slerp,
)
from .controls import SIDES

# The captured sole lies this far below the ankle (URDF of PyPI pybullet 3.2.7: box of the foot).
_DOWN = np.array([0.0, 0.0, -1.0])
_LEFT = np.array([1.0, 0.0, 0.0])


@dataclass(frozen=True, eq=False)
class Figure:
    """The rig at rest, metres: hip centre (3,), leg length, ankle height.

    thighs, ankles: side -> joint (3,); arms: side -> shoulder, elbow, wrist (3,3); soles:
    side -> heel, ball, toe tip (3,3) on the floor.
    """

    hips: Floats
    leg: float
    ankle_height: float
    thighs: dict[str, Floats]
    arms: dict[str, Floats]
    soles: dict[str, Floats]
    ankles: dict[str, Floats]


@dataclass(frozen=True, eq=False)
class Body:
    """The trunk over T frames: hip centre (T,3) in metres; turns since rest (T,4) in the world."""

    hips: Floats
    pelvis: Floats
    chest: Floats
    neck: Floats
    head: Floats

    @property
    def torso(self) -> Floats:
        """Turn of the control that carries the body: halfway between pelvis and chest."""
        return continuous(slerp(self.pelvis, self.chest, 0.5))


@dataclass(frozen=True, eq=False)
class Arm:
    """One arm over T frames: turns since the rig's rest (T,4), and where the elbow points (T,3)."""

    upper: Floats
    fore: Floats
    elbow: Floats


def measure_figure(rig: bpy.types.Object) -> Figure:
    """Read the rig's rest pose."""
    heads = {bone.name: np.array(bone.head_local) for bone in rig.data.bones}
    toe_tip = {s: np.array(rig.data.bones[f"DEF-toe.{s}"].tail_local) for s in SIDES}
    chain = [heads[f"DEF-{bone}.L"] for bone in ("thigh", "shin", "foot")]
    on_floor = np.array([1.0, 1.0, 0.0])
    return Figure(
        hips=0.5 * (heads["DEF-thigh.L"] + heads["DEF-thigh.R"]),
        leg=float(sum(np.linalg.norm(np.diff(chain, axis=0), axis=1))),
        ankle_height=float(heads["DEF-foot.L"][2]),
        thighs={s: heads[f"DEF-thigh.{s}"] for s in SIDES},
        arms={
            s: np.stack([heads[f"DEF-{bone}.{s}"] for bone in ("upper_arm", "forearm", "hand")])
            for s in SIDES
        },
        soles={
            s: on_floor * np.stack([_heel(rig, s), heads[f"DEF-toe.{s}"], toe_tip[s]])
            for s in SIDES
        },
        ankles={s: heads[f"DEF-foot.{s}"] for s in SIDES},
    )


def scale_of(figure: Figure, motion: CapturedMotion) -> float:
    """How many times longer the rig's legs are than the captured figure's."""
    lengths = dict(zip(motion.joints, motion.lengths, strict=True))
    return figure.leg / float(lengths["thigh.L"] + lengths["shin.L"])


def turns_since_rest(motion: CapturedMotion, joint: str) -> Floats:
    """(T,4) the joint's turn since rest in the world, signs continuous."""
    j = motion.joint(joint)
    return continuous(multiply(motion.rotations[:, j], conjugate(motion.rest_rotations[j])))


def retarget_body(figure: Figure, motion: CapturedMotion) -> Body:
    """The trunk's targets; the hips ride as much higher as the rig's ankles do."""
    scale = scale_of(figure, motion)
    ankle = float(motion.rest_positions[motion.joint("foot.L"), 2])
    lift = np.array([0.0, 0.0, figure.ankle_height - scale * ankle])
    chest, head = turns_since_rest(motion, "chest"), turns_since_rest(motion, "head")
    return Body(
        hips=scale * motion.positions[:, motion.joint("hips")] + lift,
        pelvis=turns_since_rest(motion, "hips"),
        chest=chest,
        neck=continuous(slerp(chest, head, 0.5)),
        head=head,
    )


def retarget_arm(figure: Figure, motion: CapturedMotion, side: str) -> Arm:
    """The arm's turns since the rig's rest, and the way its elbow points."""
    upper, fore = (turns_since_rest(motion, f"{j}.{side}") for j in ("upper_arm", "forearm"))
    lay_upper, lay_fore = _lay_arm(figure.arms[side])
    # At rest the captured elbow points backwards (+Y).
    elbow = rotate(continuous(slerp(upper, fore, 0.5)), -np.cross(_DOWN, _LEFT))
    return Arm(
        upper=continuous(normalise(multiply(upper, lay_upper))),
        fore=continuous(normalise(multiply(fore, lay_fore))),
        elbow=elbow,
    )


def wrists(figure: Figure, arm: Arm, side: str, shoulder: Floats) -> Floats:
    """(T,3) the wrist of an arm hung from shoulder heads (T,3), with the rig's own lengths."""
    upper, fore = np.diff(figure.arms[side], axis=0)
    return shoulder + rotate(arm.upper, upper) + rotate(arm.fore, fore)


def _heel(rig: bpy.types.Object, side: str) -> Floats:
    """The back of the heel: Rigify's heel pivot lies across it."""
    bone = rig.data.bones[f"ORG-heel.02.{side}"]
    return 0.5 * (np.array(bone.head_local) + np.array(bone.tail_local))


def _lay_arm(arm: Floats) -> tuple[Floats, Floats]:
    """Turns (4,) that lay the rig's upper arm and forearm, as they rest, along the captured
    ones: straight down, with the hinge of the elbow across the figure."""
    upper, fore = np.diff(arm, axis=0)
    hinge = np.cross(upper, fore)  # the rest pose bends the elbow a little, for IK's sake
    onto = _frame(_DOWN, -_LEFT)
    return tuple(from_matrix(onto @ _frame(bone, hinge).T) for bone in (upper, fore))


def _frame(along: Floats, across: Floats) -> Floats:
    """(3,3) right-handed axes with Y along a bone and X across it."""
    y = along / np.linalg.norm(along)
    x = across - (across @ y) * y
    x /= np.linalg.norm(x)
    return np.stack((x, y, np.cross(x, y)), axis=-1)
