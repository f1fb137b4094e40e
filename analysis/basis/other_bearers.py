# SPDX-License-Identifier: GPL-3.0-or-later
"""What bears a figure besides its feet: hands, knees, elbows, the trunk, the seat."""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ..once import once
from ..parts import split_part
from .contacts import STILL_SHARE
from .touch_points import TOUCH_SHARE, TRUNK_SHARE

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Joints that lie deep in the body, and those that do not; knees and elbows are the joints of what
# hangs on them. Root and pelvis are left out: some rigs have them on the floor for good.
_DEEP = ("spine", "chest", "neck", "head", "shoulder", "shin", "forearm")
_HANDS, _SEAT = "hand", "thigh"


@once
def other_bearers(basis: "Basis") -> list[tuple[Floats, Bools]]:
    """Places (T,3) on trunk, head, arms and knees, each with (T,) whether it bears the figure.

    It does where it is near what bears the figure (6 cm at 1.7 m, and 13 cm where the joint
    lies deep in the body) and slow (.4 m/s): a hand that passes bears nothing. A hand may rest
    on any face of a declared support.
    """
    found = []
    for n, body in enumerate(basis.bodies):
        kind = split_part(body.part or "")[0]
        if kind in _DEEP:
            found.append(_bearer(basis, n, 0, TRUNK_SHARE))
        if kind == _HANDS:
            near = [_bearer(basis, n, mark, TOUCH_SHARE) for mark in (0, 1)]
            found += [(place, low | basis.held[:, n, m]) for m, (place, low) in enumerate(near)]
    return [(place, bears) for place, bears in found if bears.any()]


@once
def sits(basis: "Basis") -> Bools:
    """(T,) whether a hip is down and slow: it sits or lies, and its feet bear nothing."""
    hips = [n for n, b in enumerate(basis.bodies) if split_part(b.part or "")[0] == _SEAT]
    down = [_bearer(basis, n, 0, TRUNK_SHARE)[1] for n in hips]
    return np.asarray(np.any(down, axis=0)) if down else np.zeros(len(basis.frames), dtype=bool)


def _bearer(basis: "Basis", body: int, mark: int, near: float) -> tuple[Floats, Bools]:
    """A mark's path (T,3), and (T,) whether it is near what bears the figure, and slow."""
    place = basis.marks[:, body, mark]
    height, which = basis.ground.surface(place[:, None])
    steps = basis.ground.steps(place[:, None], which)[:, 0]
    pace = np.linalg.norm(steps, axis=-1) / basis.dt_s
    slower = np.minimum(np.append(pace, np.inf), np.append(np.inf, pace))
    low = place[:, 2] - height[:, 0] < near * basis.height.scene_m
    slow = slower < STILL_SHARE * basis.height.scene_m
    return place, np.asarray(low & slow & basis.valid[:, body])
