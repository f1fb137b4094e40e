# SPDX-License-Identifier: GPL-3.0-or-later
"""How joints answer when one control is shifted or turned a little."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from ...analysis import quaternions as quat
from ...analysis.channel_turns import turned
from ...analysis.trials import Posed

# A joint that moves by less than this share of what a rigid follower would does not follow.
LEAST_SHARE = 0.01
# What single precision leaves of a point that stays, and of one that does not turn.
STAYS_M, STAYS_RADIANS = 5e-6, 1e-5


@dataclass(frozen=True, eq=False)
class Nudged:
    """A rig as it stood (the first of its samples), and with one control after the other nudged.

    controls   (N,) which of the controls each of the N answers, one sample each, is about
    """

    still: Posed
    answers: Sequence[Posed]
    controls: Sequence[int]

    @cached_property
    def shift_shares(self) -> Any:
        """(N,J) how much of the control's shift each joint's head makes, along its way."""
        way = self._after[:, :3, 3] - self._before[:, :3, 3]
        return _along(self._positions - self.still.positions[0], way, STAYS_M)

    @cached_property
    def turn_shares(self) -> Any:
        """(N,J) how much of the control's turn each joint makes, about its axis."""
        own = [quat.from_matrices(each) for each in (self._before, self._after)]
        still = np.broadcast_to(self.still.rotations[0], self._rotations.shape)
        return _along(
            _rotation_vectors(still, self._rotations), _rotation_vectors(*own), STAYS_RADIANS
        )

    def follow(self, lengths: Any) -> Any:
        """(N,J) whether a joint, or a point beside it at its length (J,), goes along."""
        before = _marks(self.still.positions[:1], self.still.rotations[:1], lengths)
        after = _marks(self._positions, self._rotations, lengths)
        turn = turned(self._before[:, :3, :3], self._after[:, :3, :3])[:, None]
        head, to = self._before[:, None, None, :3, 3], self._after[:, None, None, :3, 3]
        carried = (before - head) @ turn.swapaxes(-1, -2) + to
        went, would = (np.linalg.norm(p - before, axis=-1).max(axis=-1) for p in (after, carried))
        return went > np.maximum(LEAST_SHARE * would, STAYS_M)

    @cached_property
    def _positions(self) -> Any:
        return np.concatenate([each.positions for each in self.answers])

    @cached_property
    def _rotations(self) -> Any:
        return np.concatenate([each.rotations for each in self.answers])

    @cached_property
    def _before(self) -> Any:
        return np.array([_control(self.still, at) for at in self.controls])

    @cached_property
    def _after(self) -> Any:
        both = zip(self.answers, self.controls, strict=True)
        return np.array([_control(each, at) for each, at in both])


def _control(posed: Posed, at: int) -> Any:
    assert posed.controls is not None
    return posed.controls[0, at]


def _along(vectors: Any, way: Any, least: float) -> Any:
    """(N,J) the share of `way` (N,3) that each of the vectors (N,J,3) makes; none of no way."""
    length = (way * way).sum(axis=-1)[:, None]
    goes = length > least * least
    return np.where(goes, (vectors * way[:, None]).sum(axis=-1), 0.0) / np.where(goes, length, 1.0)


def _rotation_vectors(before: Any, after: Any) -> Any:
    """(...,3) small turns from one orientation (...,4) to another, world axes, radians."""
    turn = quat.multiply(after, quat.conjugate(before))
    return 2.0 * turn[..., 1:] * np.where(turn[..., :1] < 0.0, -1.0, 1.0)


def _marks(positions: Any, rotations: Any, lengths: Any) -> Any:
    """(N,J,4,3) each joint's head, and points at its length along its three axes."""
    offsets = np.eye(4, 3, k=-1) * lengths[:, None, None]
    turns = np.repeat(rotations[:, :, None], 4, axis=2)
    offsets = np.broadcast_to(offsets, (*turns.shape[:-1], 3))
    return positions[:, :, None] + quat.rotate(turns, offsets)
