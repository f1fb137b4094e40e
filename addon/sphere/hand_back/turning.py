# SPDX-License-Identifier: GPL-3.0-or-later
"""The ball's turn as the control's: all rotation modes, without jumps from frame to frame."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from mathutils import Euler, Quaternion

from ....analysis import quaternions as quat
from .puppet import Look

_TURN = 2.0 * np.pi


@dataclass(frozen=True, eq=False)
class Turns:
    """mode     the control's rotation mode; channel: the name of its channel
    wanted   (N,4) how the point is to be turned in the world
    first    the channel's values on the first sample as it was, which the new ones begin near
    """

    mode: str
    channel: str
    wanted: Any
    first: Any

    def own(self, values: Any) -> Any:
        """(N,4) unit quaternions of the channel's values (N,3 or 4)."""
        return quat.normalise(np.array([self._quaternion(row) for row in values]))

    def values(self, turned: Any) -> Any:
        """(N,3 or 4) the channel's values, near to each other from sample to sample."""
        found = []
        before = np.asarray(self.first, dtype=np.float64)
        for row in turned:
            before = self._value(row, before)
            found.append(before)
        return np.array(found)

    def corrected(self, turned: Any, seen: Look) -> Any:
        """(N,4) turned so much further as the point, as it was seen, is not turned as wanted."""
        world = quat.multiply(self.wanted, quat.conjugate(seen.point_turn))
        rest = quat.multiply(quat.conjugate(seen.turn), quat.multiply(world, seen.turn))
        return quat.normalise(quat.multiply(turned, rest))

    def off(self, seen: Look) -> Any:
        """(N,) radians between how the point is turned and how it is to be."""
        same = np.abs(np.sum(self.wanted * seen.point_turn, axis=1))
        return 2.0 * np.arccos(np.clip(same, 0.0, 1.0))

    def _quaternion(self, row: Any) -> Any:
        if self.mode == "QUATERNION":
            return np.array(row)
        if self.mode == "AXIS_ANGLE":
            return np.array(Quaternion(row[1:4], row[0]))
        return np.array(Euler(row, self.mode).to_quaternion())

    def _value(self, row: Any, before: Any) -> Any:
        turn = Quaternion([float(number) for number in row])
        if self.mode == "QUATERNION":
            return row if np.dot(row, before) >= 0.0 else -row
        if self.mode == "AXIS_ANGLE":
            return _axis_angle(turn, before)
        near = Euler([float(number) for number in before], self.mode)
        found = np.array(turn.to_euler(self.mode, near), dtype=np.float64)
        return found + _TURN * np.round((before - found) / _TURN)


def _axis_angle(turn: Quaternion, before: Any) -> Any:
    """The axis on the side of the one before, and the whole turns nearest to its angle."""
    axis, angle = turn.to_axis_angle()
    if abs(angle) < 1e-6 and np.linalg.norm(before[1:]) > 0.0:
        axis = before[1:]
    found = np.array([angle, *axis], dtype=np.float64)
    if np.dot(found[1:], before[1:]) < 0.0:
        found = -found
    found[0] += _TURN * np.round((before[0] - found[0]) / _TURN)
    return found
