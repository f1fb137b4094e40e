# SPDX-License-Identifier: GPL-3.0-or-later
"""The porter's rest pose: every bone as two points, its parent and which way it faces.

Metres, Z up; the figure is 1.75 m tall and looks along -Y, so its left is +X. Only the left
side is written down. A bone's local Y runs along it and its local Z is turned to `facing`;
this settles what the channels mean (see walk_poses for the signs).
"""

from dataclasses import dataclass, replace

Point = tuple[float, float, float]

FORWARD: Point = (0.0, -1.0, 0.0)
UP: Point = (0.0, 0.0, 1.0)

HIP: Point = (0.09, 0.0, 0.948)
KNEE: Point = (0.09, -0.030, 0.509)  # a little ahead of hip and ankle: the leg never locks
ANKLE: Point = (0.09, 0.0, 0.080)
HEEL: Point = (0.09, 0.050, 0.0)
BALL: Point = (0.09, -0.140, 0.026)  # the toe joint, one sole's height above the floor
TOE_TIP: Point = (0.09, -0.215, 0.014)
BODY: Point = (0.0, 0.0, 0.945)


@dataclass(frozen=True)
class RestBone:
    """One bone at rest: `order` is its pose bone's Euler order, `deform` as Blender means it."""

    name: str
    parent: str | None
    head: Point
    tail: Point
    facing: Point = FORWARD
    deform: bool = True
    order: str = "XZY"


def mirrored(bone: RestBone) -> RestBone:
    """The right-hand twin of a left-hand bone."""

    def across(point: Point) -> Point:
        return (-point[0], point[1], point[2])

    parent = bone.parent.replace(".L", ".R") if bone.parent else None
    return replace(
        bone,
        name=bone.name.replace(".L", ".R"),
        parent=parent,
        head=across(bone.head),
        tail=across(bone.tail),
        facing=across(bone.facing),
    )


def _ahead(point: Point, length: float) -> Point:
    return (point[0], point[1] - length, point[2])


def _control(name: str, parent: str | None, head: Point, length: float) -> RestBone:
    """A control that points ahead with Z up: x to the figure's right, y ahead, z up."""
    return RestBone(name, parent, head, _ahead(head, length), UP, deform=False, order="XYZ")


_TRUNK = (
    _control("mover", None, (0.0, 0.0, 0.0), 0.40),
    _control("body", "mover", BODY, 0.20),
    RestBone("hips", "body", BODY, (0.0, 0.005, 1.045)),
    RestBone("spine.1", "body", (0.0, 0.005, 1.045), (0.0, 0.0, 1.155)),
    RestBone("spine.2", "spine.1", (0.0, 0.0, 1.155), (0.0, 0.006, 1.265)),
    RestBone("chest", "spine.2", (0.0, 0.006, 1.265), (0.0, 0.028, 1.430)),
    RestBone("neck", "chest", (0.0, 0.028, 1.430), (0.0, 0.004, 1.548)),
    RestBone("head", "neck", (0.0, 0.004, 1.548), (0.0, 0.0, 1.750)),
)

# Limbs twist first, then leave or near the body, then swing: swing stays a clean channel.
_LEFT_ARM = (
    RestBone("shoulder.L", "chest", (0.025, 0.004, 1.405), (0.170, 0.022, 1.418)),
    RestBone(
        "upper_arm.L", "shoulder.L", (0.182, 0.022, 1.402), (0.256, 0.036, 1.118), order="YZX"
    ),
    RestBone("forearm.L", "upper_arm.L", (0.256, 0.036, 1.118), (0.294, 0.0, 0.868), order="YZX"),
    RestBone("hand.L", "forearm.L", (0.294, 0.0, 0.868), (0.306, -0.024, 0.690), order="YZX"),
)

_LEFT_LEG = (
    RestBone("thigh.L", "hips", HIP, KNEE, order="YZX"),
    RestBone("shin.L", "thigh.L", KNEE, ANKLE, order="YZX"),
    RestBone("foot.L", "shin.L", ANKLE, BALL, UP),
    RestBone("toe.L", "foot.L", BALL, TOE_TIP, UP),
)

# The foot control stands at the heel, so turning it rocks the foot on its heel; the roll
# control turns what hangs on it about the ball, while the toe keeps to the foot control.
_LEFT_FOOT_CONTROLS = (
    _control("foot_ik.L", "mover", HEEL, 0.265),
    RestBone("foot_roll.L", "foot_ik.L", BALL, _ahead(BALL, -0.09), UP, deform=False, order="XYZ"),
    RestBone("mch_foot.L", "foot_roll.L", ANKLE, BALL, UP, deform=False),
    RestBone("mch_toe.L", "foot_ik.L", BALL, TOE_TIP, UP, deform=False),
    _control("knee_pole.L", "mover", (0.09, -0.62, 0.509), 0.10),
)

_LEFT = _LEFT_ARM + _LEFT_LEG + _LEFT_FOOT_CONTROLS

BONES: tuple[RestBone, ...] = _TRUNK + _LEFT + tuple(mirrored(bone) for bone in _LEFT)
