# SPDX-License-Identifier: GPL-3.0-or-later
"""What the ball moves: a pose bone, or the object itself; and the point that is to be there."""

from dataclasses import dataclass
from typing import Any

import bpy

from ....analysis import PlumblineError

# On the ball: which point it was put on, and what moves that (see `sphere.ours`).
SPHERE_ON = "plumbline_sphere_on"


@dataclass(frozen=True)
class Control:
    """told   how it is called
    bone   the name of a pose bone; empty for the object itself
    joint  the bone whose head is to be where the ball is; empty for the control's own place
    com    whether it is the centre of mass instead
    """

    told: str
    bone: str
    joint: str = ""
    com: bool = False

    def of(self, rig: Any) -> Any:
        """What has the channels, on a rig, on a copy of it, or as it was evaluated."""
        return rig.pose.bones[self.bone] if self.bone else rig

    def path(self, name: str) -> str:
        """The path of a channel, as F-curves have it."""
        if not self.bone:
            return name
        return f'pose.bones["{bpy.utils.escape_identifier(self.bone)}"].{name}'

    def turning(self, rig: bpy.types.Object) -> str:
        """The name of the channel that turns it."""
        mode = self.of(rig).rotation_mode
        if mode in ("QUATERNION", "AXIS_ANGLE"):
            return f"rotation_{mode.lower()}"
        return "rotation_euler"

    @property
    def is_point(self) -> bool:
        """Whether the ball is on the control itself."""
        return not self.joint and not self.com


def control_of(sphere: bpy.types.Object, rig: bpy.types.Object, joint: str) -> Control:
    """What moves the point on which a ball was put; raises PlumblineError where that has gone.

    joint   the root of the rig, for a ball that does not say where it was put
    """
    on: Any = sphere.get(SPHERE_ON)
    given: dict[str, Any] = {} if on is None else dict(on)
    what, bone = given.get("what", "root"), str(given.get("control", joint))
    point = str(given.get("joint", joint))
    bones: Any = rig.pose.bones if rig.pose is not None else {}
    for name in (bone, point):
        if name and name != rig.name and name not in bones:
            raise PlumblineError(
                f"{rig.name!r} has no bone {name!r}, expected the one that {sphere.name!r} was "
                "put on: bake the ball again."
            )
    bone = bone if bone in bones else ""
    told = bone or rig.name
    if what == "com":
        return Control(told, bone, com=True)
    return Control(told, bone, joint="" if point == bone or point not in bones else point)
