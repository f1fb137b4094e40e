# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a figure faces."""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat
from ..parts import SIDES

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]

# Feet that point backwards by this cosine, and the figure is mirrored.
FEET_POINT = 0.5
# Sides that lie nearer to each other than this share of the height, seen from above, tell
# no direction.
APART_SHARE = 0.02


def facing(basis: "Basis") -> Floats:
    """(T,3) unit vectors, level: where the figure faces.

    Square to the line from right to left hip (else shoulder), the other way round where
    the feet point there at rest (a mirrored rig); without such a pair, the direction of
    travel, else -Y, as Blender's figures face.
    """
    pair = _side_pair(basis)
    if pair is None:
        travel = basis.positions[-1, 0] - basis.positions[0, 0]
        across = np.array([-travel[1], travel[0], 0.0])
        across = np.broadcast_to(across, (len(basis.frames), 3))
    else:
        across = basis.positions[:, pair[0]] - basis.positions[:, pair[1]]
    ahead = np.stack((across[:, 1], -across[:, 0], np.zeros(len(across))), axis=-1)
    if pair is not None:
        ahead = ahead * _mirrored(basis, pair)
    length = np.linalg.norm(ahead, axis=-1, keepdims=True)
    usable = length > APART_SHARE * basis.height.scene_m
    return np.where(usable, ahead / np.where(length > 0, length, 1.0), [0.0, -1.0, 0.0])


def _mirrored(basis: "Basis", pair: tuple[int, int]) -> float:
    """-1 where at rest the feet point against what the pair says is ahead, else 1.

    Over the clip nothing is told by feet: they point backwards where a figure kneels.
    """
    clip = basis.clip
    feet = [n for side in SIDES if (n := basis.body(f"foot.{side}")) is not None]
    if clip.rest_positions is None or clip.rest_rotations is None or not feet:
        return 1.0
    joints = [basis.bodies[n].joint for n in feet]
    toes = quat.rotate(clip.rest_rotations[joints], basis.offsets[feet, 1]).sum(axis=0)
    left, right = (clip.rest_positions[basis.bodies[n].joint] for n in pair)
    across = left - right
    along = float(toes[0] * across[1] - toes[1] * across[0])
    least = FEET_POINT * float(np.linalg.norm(toes) * np.linalg.norm(across[:2]))
    return -1.0 if along < -least else 1.0


def _side_pair(basis: "Basis") -> tuple[int, int] | None:
    for kind in ("thigh", "upper_arm", "shoulder"):
        left, right = basis.body(f"{kind}.L"), basis.body(f"{kind}.R")
        if left is not None and right is not None:
            return left, right
    return None
