# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a figure faces."""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat
from ..parts import SIDES
from .bodies import tip_offset

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
    toes, rest = _toes_at_rest(basis), basis.clip.rest_positions
    if toes is None or rest is None:
        return 1.0
    left, right = (rest[basis.bodies[n].joint] for n in pair)
    across = left - right
    along = float(toes[0] * across[1] - toes[1] * across[0])
    least = FEET_POINT * float(np.linalg.norm(toes) * np.linalg.norm(across[:2]))
    return -1.0 if along < -least else 1.0


def _toes_at_rest(basis: "Basis") -> Floats | None:
    """(3,) where the feet point at rest, both together; None where that is unknown."""
    turns = basis.clip.rest_rotations
    feet = [n for side in SIDES if (n := basis.body(f"foot.{side}")) is not None]
    if turns is None or not feet:
        return None
    tips = [tip_offset(basis.clip, basis.bodies[n], float(basis.reach[n])) for n in feet]
    at_rest = turns[[basis.bodies[n].joint for n in feet]]
    return np.asarray(quat.rotate(at_rest, np.array(tips)).sum(axis=0))


def rest_forward(basis: "Basis") -> Floats | None:
    """(3,) where the figure faces in its rest pose, however that lies; None where unknown."""
    pair, rest = _side_pair(basis), basis.clip.rest_positions
    low, high = (
        next((n for part in parts if (n := basis.body(part)) is not None), None)
        for parts in (("pelvis", "root"), ("head", "neck", "chest"))
    )
    if pair is None or rest is None or low is None or high is None or low == high:
        return None
    left, right, hips, head = (rest[basis.bodies[n].joint] for n in (*pair, low, high))
    ahead = np.cross(left - right, head - hips)
    length = float(np.linalg.norm(ahead))
    if length < (APART_SHARE * basis.height.scene_m) ** 2:
        return None
    ahead, toes = ahead / length, _toes_at_rest(basis)
    against = toes is not None and ahead @ toes < -FEET_POINT * np.linalg.norm(toes)
    return np.asarray(-ahead if against else ahead)


def _side_pair(basis: "Basis") -> tuple[int, int] | None:
    for kind in ("thigh", "upper_arm", "shoulder"):
        left, right = basis.body(f"{kind}.L"), basis.body(f"{kind}.R")
        if left is not None and right is not None:
            return left, right
    return None
