# SPDX-License-Identifier: GPL-3.0-or-later
"""The captured figure as an animator's rig: hips, chest, neck and arms turn, feet are steered.

Its controls' channels are plain arrays over T frames, by name:

hips.place (T,3)        metres in the world
hips.turn (T,4)         since rest, in the world's axes
chest.turn, neck.turn, upper_arm.S.turn, hand.S.turn (T,4)   against what carries them
forearm.S.bend (T,1)    radians about the elbow's axis
foot.S.place (T,3)      the ball of the foot, metres in the world
foot.S.turn (T,4)       since rest, in the world's axes
knee.S.swivel (T,1)     radians about the line from hip to ankle; 0: the knee points ahead
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis import quaternions as quat
from demo_scenes.captured.motions import CapturedMotion

Floats = NDArray[np.float64]
Tracks = dict[str, Floats]

SIDES = ("L", "R")


@dataclass(frozen=True, eq=False)
class Puppet:
    """The figure at rest: J joints, metres, looking along -Y, soles on z = 0 (as Clip has them)."""

    joints: tuple[str, ...]
    parents: tuple[int, ...]
    rest_positions: Floats
    rest_rotations: Floats
    lengths: Floats
    points: tuple[str, ...]
    point_joint: tuple[int, ...]
    point_offset: Floats

    @property
    def height_m(self) -> float:
        """From the floor to the top of the head."""
        head = self.joints.index("head")
        return float(self.rest_positions[head, 2] + self.lengths[head])

    def offset(self, joint: str) -> Floats:
        """(3,) from its parent's head to a joint's head at rest."""
        at = self.joints.index(joint)
        return self.rest_positions[at] - self.rest_positions[self.parents[at]]

    def ball(self, side: str) -> Floats:
        """(3,) from the ankle to the front end of the sole at rest."""
        at = self.points.index(f"toe.{side}")
        return quat.rotate(self.rest_rotations[self.point_joint[at]], self.point_offset[at])

    def scaled(self, size: float) -> "Puppet":
        """The same figure `size` times as tall."""
        return replace(
            self,
            rest_positions=self.rest_positions * size,
            lengths=self.lengths * size,
            point_offset=self.point_offset * size,
        )


def puppet_of(motion: CapturedMotion) -> Puppet:
    """The figure that a captured motion moves."""
    return Puppet(
        joints=motion.joints,
        parents=motion.parents,
        rest_positions=motion.rest_positions,
        rest_rotations=motion.rest_rotations,
        lengths=motion.lengths,
        points=motion.points,
        point_joint=motion.point_joint,
        point_offset=np.asarray(motion.point_offset),
    )
