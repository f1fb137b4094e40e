# SPDX-License-Identifier: GPL-3.0-or-later
"""The points that are judged for dead stops: those that an eye follows, where they are free.

Root, pelvis, chest, head, hands, feet, props and bodies without a part are followed, each by
its joint, its tip and a point to its side; what lies between (elbows, knees, neck) shows there.
Feet are left out unless they are raised.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .ends import Ends
from .parts import SIDES, limb_of, split_part
from .stops import rest_steps, told_by

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A tip this near to the joint of what hangs on it, as a share of the height, is that joint.
SAME_SHARE = 0.01
# A foot that is this much higher than the other, as a share of the height, stands on nothing.
RAISED_SHARE = 0.15
# Parts that only show what the part beyond them does.
_BETWEEN = {
    "spine": "chest",
    "neck": "head",
    "shoulder": "hand",
    "upper_arm": "hand",
    "forearm": "hand",
    "thigh": "foot",
    "shin": "foot",
}


def judged_points(basis: Basis, ends: Ends) -> Bools:
    """(T,B,3) points that are judged: what is followed, no gaps nearby, no point twice."""
    known, shift = known_points(basis, ends), ends.around("marks")[1]
    wrapped = (np.arange(len(known)) - shift) % ends.length
    judged = np.repeat((known & _raised(basis)[wrapped])[:, :, None], 3, axis=2)
    judged[:, [n for n in range(len(basis.bodies)) if not _followed(basis, n)]] = False
    for body, mark in _doubles(basis):
        judged[:, body, mark] = False
    return judged


def known_points(basis: Basis, ends: Ends) -> Bools:
    """(T,B) where bodies are known for as long as a stop, or a start, is told by."""
    reach = max(rest_steps(basis.dt_s), told_by(basis.dt_s))
    return ends.known(reach, reach)


def carriers_known(basis: Basis, ends: Ends) -> Bools:
    """(T,B) bodies that are also judged as what carries them sees them, where that is known."""
    known = known_points(basis, ends)
    found = np.zeros_like(known)
    for n in range(len(basis.bodies)):
        carrier = _carrier(basis, n)
        if carrier is not None:
            found[:, n] = known[:, carrier]
    return found


def _raised(basis: Basis) -> Bools:
    """(T,B) False for feet that are planted, about to be, or no higher than the other foot."""
    raised = np.isfinite(basis.leg_lenience)
    heights = {each.sole.side: each.clearance.min(axis=1) for each in basis.soles}
    for side, height in heights.items():
        foot = basis.body(f"foot.{side}")
        others = [heights[each] for each in heights if each != side]
        if foot is not None:
            above = height - others[0] if others else np.zeros_like(height)
            raised[:, foot] &= above > RAISED_SHARE * basis.ground.height_m
    return raised


def _followed(basis: Basis, body: int) -> bool:
    """Whether a body is one of those that an eye follows."""
    part = basis.bodies[body].part
    if not basis.bodies[body].judged or part is None:
        return basis.bodies[body].judged
    kind, side = split_part(part)
    if kind in _BETWEEN:
        return basis.body(_BETWEEN[kind] + (f".{side}" if side in SIDES else "")) is None
    return kind != "toe"


def _doubles(basis: Basis) -> list[tuple[int, int]]:
    """Bodies and marks that are the joint of a body that hangs on them: it is judged there."""
    least = SAME_SHARE * basis.height.scene_m
    found: list[tuple[int, int]] = []
    for n, body in enumerate(basis.bodies):
        if body.parent >= 0:
            for mark in (0, 1):
                apart = basis.marks[:, body.parent, mark] - basis.marks[:, n, 0]
                if np.linalg.norm(apart, axis=-1).max() < least:
                    # The outer body keeps a joint that both have, but at the same place.
                    found.append((body.parent, mark) if mark == 1 else (n, 0))
    return found


def as_carried(basis: Basis, ends: Ends) -> Floats:
    """(T,B,3,3) the marks in the axes of what carries each body; world where nothing does."""
    marks, _ = ends.around("marks")
    rotations, _ = ends.around("rotations")
    seen = marks.copy()
    for n in range(len(basis.bodies)):
        carrier = _carrier(basis, n)
        if carrier is not None:
            back = quat.conjugate(rotations[:, carrier])
            gap = marks[:, n] - marks[:, carrier, :1]
            seen[:, n] = quat.rotate(back[:, None], gap)
    return seen


def _carrier(basis: Basis, body: int) -> int | None:
    """What carries an arm, the head or the trunk: the first body outside their own chain."""
    part = basis.bodies[body].part or ""
    kind = split_part(part)[0]
    if kind in ("neck", "head"):
        chain: Sequence[str] = ("neck", "head")
    elif kind in ("hand", "forearm", "upper_arm", "shoulder"):
        chain = limb_of(part)
    else:
        return None
    return next((n for n in basis.ancestors(body) if basis.bodies[n].part not in chain), None)
