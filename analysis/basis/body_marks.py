# SPDX-License-Identifier: GPL-3.0-or-later
"""The three marks of each body: its joint, its tip, and a point to its side or its nose.

Which points a body shows, in its joint's axes, and what each is called.
"""

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat
from ..parts import split_part
from .bodies import Body, furthest_point, nose_point, tip_offset
from .facing import rest_forward

if TYPE_CHECKING:
    from .core import Basis

Floats = NDArray[np.float64]

JOINT, TIP = 0, 1
# The third mark: a point to the side, so that twist shows; of a head, its nose.
SIDE = 2
# It lies this share of the body's reach away, and of the height at least.
SIDE_SHARE, LEAST_SIDE = 0.3, 0.05
NOSE = "nose"
# What the joint of a part is called where it has a name of its own.
JOINT_NAMES = {"forearm": "elbow", "shin": "knee"}


def mark_offsets(basis: "Basis") -> Floats:
    """(B,3,3) the three marks in the joint's axes, scene metres.

    A named point of a joint is its tip. The head's third mark is its point called nose, else
    where the rest pose faces. A single point that a user added shows nothing but itself.
    """
    offsets = np.zeros((len(basis.bodies), 3, 3))
    for n, body in enumerate(basis.bodies):
        if body.is_point:
            continue
        offsets[n, TIP] = tip_offset(basis.clip, body, float(basis.reach[n]))
        away = max(SIDE_SHARE * float(basis.reach[n]), LEAST_SIDE * basis.height.scene_m)
        nose = _nose(basis, body, n)
        offsets[n, SIDE] = np.array([away, 0.0, 0.0]) if nose is None else nose
    return offsets


def mark_name(basis: "Basis", body: int, mark: int) -> str:
    """What a mark is called: elbow or knee, else empty for a joint; a point's name, tip or side."""
    each = basis.bodies[body]
    if mark == JOINT or each.is_point:
        return JOINT_NAMES.get(split_part(each.part or "")[0], "")
    if mark == SIDE:
        return "side" if _nose(basis, each, body) is None else NOSE
    tip = furthest_point(basis.clip, each.joint)
    return "tip" if tip is None else tip[0]


def _nose(basis: "Basis", body: Body, n: int) -> Floats | None:
    """(3,) the head's nose in its joint's axes; None for other bodies, or where none is known."""
    if body.part != "head":
        return None
    named = nose_point(basis.clip, body.joint)
    if named is not None:
        return named
    ahead = rest_forward(basis)
    if ahead is None or basis.clip.rest_rotations is None:
        return None
    away = max(SIDE_SHARE * float(basis.reach[n]), LEAST_SIDE * basis.height.scene_m)
    at_rest = quat.conjugate(basis.clip.rest_rotations[body.joint])
    return np.asarray(away * quat.rotate(at_rest, ahead))
