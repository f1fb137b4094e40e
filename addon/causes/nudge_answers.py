# SPDX-License-Identifier: GPL-3.0-or-later
"""How joints answer when one control is shifted or turned a little."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from ...analysis import quaternions as quat
from ...analysis.trials import Posed

# A joint that moves by less than this share of what a rigid follower would does not follow.
LEAST_SHARE = 0.01
# What single precision leaves of a point that stays: metres.
STAYS_M = 5e-6


@dataclass(frozen=True, eq=False)
class Nudged:
    """A rig as it stood, and with control number `control` nudged; one sample each."""

    still: Posed
    nudged: Posed
    control: int

    @property
    def shift_shares(self) -> Any:
        """(J,) how much of the control's shift each joint's head makes, along its way."""
        way = self._carried[:3, 3] - self._held[:3, 3]
        went = self.nudged.positions[0] - self.still.positions[0]
        return _along(went, way, STAYS_M)

    @property
    def turn_shares(self) -> Any:
        """(J,) how much of the control's turn each joint makes, about its axis."""
        own = quat.from_matrices(np.stack((self._held, self._carried)))
        turns = _rotation_vectors(self.still.rotations[0], self.nudged.rotations[0])
        return _along(turns, _rotation_vectors(own[:1], own[1:])[0], 1e-5)

    def follows(self, lengths: Any) -> Any:
        """(J,) whether a joint, or a point beside it at its length (J,), goes along."""
        before = _marks(self.still.positions[0], self.still.rotations[0], lengths)
        after = _marks(self.nudged.positions[0], self.nudged.rotations[0], lengths)
        rigid = self._carried @ np.linalg.inv(self._held)
        carried = before @ rigid[:3, :3].T + rigid[:3, 3]
        went, would = (np.linalg.norm(p - before, axis=-1).max(axis=1) for p in (after, carried))
        return went > np.maximum(LEAST_SHARE * would, STAYS_M)

    @property
    def _held(self) -> Any:
        return self._matrix(self.still)

    @property
    def _carried(self) -> Any:
        return self._matrix(self.nudged)

    def _matrix(self, posed: Posed) -> Any:
        assert posed.controls is not None
        return posed.controls[0, self.control]


def _along(vectors: Any, way: Any, least: float) -> Any:
    """(J,) the share of `way` (3,) that each of the vectors (J,3) makes; none of no way."""
    length = float(way @ way)
    return vectors @ way / length if length > least * least else np.zeros(len(vectors))


def _rotation_vectors(before: Any, after: Any) -> Any:
    """(J,3) small turns from one orientation (J,4) to another, in the world's axes, radians."""
    turn = quat.multiply(after, quat.conjugate(before))
    return 2.0 * turn[:, 1:] * np.where(turn[:, :1] < 0.0, -1.0, 1.0)


def _marks(positions: Any, rotations: Any, lengths: Any) -> Any:
    """(J,4,3) each joint's head, and points at its length along its three axes."""
    offsets = np.eye(4, 3, k=-1)[None] * lengths[:, None, None]
    turns = np.repeat(rotations[:, None], 4, axis=1)
    return positions[:, None] + quat.rotate(turns, offsets)
