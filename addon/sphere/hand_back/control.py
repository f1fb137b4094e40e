# SPDX-License-Identifier: GPL-3.0-or-later
"""What the ball moves, a pose bone or the object itself; and the point that is to be there."""

from dataclasses import dataclass
from typing import Any

import bpy

from ....analysis import PlumblineError
from ..choices import ROOT
from ..facts import BonePoint, place_of, points_of
from ..point import find_point


@dataclass(frozen=True)
class Control:
    """told    how it is called
    bone    the name of a pose bone; empty for the object itself
    points  what is to be where the ball is: the weighted mean of these
    what    root, pelvis, com or control
    """

    told: str
    bone: str
    points: tuple[BonePoint, ...] = ()
    what: str = "control"

    def of(self, rig: Any) -> Any:
        """What has the channels, on a rig, on a copy of it, or as it was evaluated."""
        return rig.pose.bones[self.bone] if self.bone else rig

    def path(self, name: str) -> str:
        """The path of a channel, as F-curves have it."""
        if not self.bone:
            return name
        return f'pose.bones["{bpy.utils.escape_identifier(self.bone)}"].{name}'

    @property
    def is_point(self) -> bool:
        """Whether the ball is on the control itself."""
        return self.points == (BonePoint(self.bone, 0.0, 1.0),)

    @property
    def carried(self) -> str:
        """What is where the ball is, where that is not the control itself."""
        if self.is_point:
            return ""
        return repr(self.points[0].bone) if len(self.points) == 1 else "the centre of mass"

    @property
    def turns(self) -> str:
        """The bone whose turn the ball has; empty for the object."""
        return self.points[0].bone if len(self.points) == 1 else self.bone


def turning(item: Any) -> str:
    """The name of the channel that turns a bone or an object."""
    mode = item.rotation_mode
    return f"rotation_{mode.lower()}" if mode in ("QUATERNION", "AXIS_ANGLE") else "rotation_euler"


def control_of(scene: bpy.types.Scene, sphere: bpy.types.Object, rig: bpy.types.Object) -> Control:
    """What moves the point on which a ball was put; raises PlumblineError where that has gone.

    A ball of a file from before balls could say so was put on the root.
    """
    told = place_of(sphere)
    if told:
        what, bone, points = told["what"], told["control"], points_of(sphere)
    else:
        where = find_point(scene, rig, ROOT).where
        what, bone, points = where.what, where.control, where.points
    bones: Any = rig.pose.bones if rig.pose is not None else {}
    for name in (bone, *(point.bone for point in points)):
        if name and name not in bones:
            raise PlumblineError(
                f"{rig.name!r} has no bone {name!r}, expected the one that {sphere.name!r} was "
                "put on: bake the ball again."
            )
    return Control(bone or rig.name, bone, tuple(points), what)
