# SPDX-License-Identifier: GPL-3.0-or-later
"""Prints of a shot's motion, two bytes a limb and frame, to tell whether anything was touched.

A mark sees a joint's way, and tracks see places to 2 cm. Prints see all: joints, tips and twists to
a tenth of a millimetre, against what leads the figure; so they are the same wherever it stands and
whichever way it faces. They tell no more than that something is as it was, or is not.
"""

import zlib
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from .. import quaternions as quat
from ..basis import Basis
from ..parts import TRUNK as TRUNK_KINDS
from ..parts import limb_of, split_part
from .kept import Prints

Floats = NDArray[np.float64]
# What is smaller than this share of the height is float rounding (.17 mm at 1.7 m).
FINE_SHARE = 1e-4
LEAD, TRUNK, HEAD, OTHER = "lead", "trunk", "head", "other"


def prints_of(basis: Basis) -> Mapping[str, Prints]:
    """By the limb that a body belongs to, its innermost part, (T,) a number for each sample's pose;
    what leads, the trunk, the head with its neck and what is none of these (props) have theirs."""
    lead, fine = basis.lead, FINE_SHARE * basis.height.scene_m
    against = (basis.marks - basis.positions[:, lead, None, None]) / fine
    back = quat.conjugate(basis.rotations[:, lead])
    own = quat.rotate(back[:, None, None], against)
    groups: dict[str, list[int]] = {}
    for n, body in enumerate(basis.bodies):
        if body.judged and not body.added:
            groups.setdefault(limb_title(body.part), []).append(n)
    return {
        LEAD: printed(_of_lead(basis, back, fine)),
        **{limb: printed(own[:, bodies]) for limb, bodies in groups.items()},
    }


def limb_title(part: str | None) -> str:
    """What the prints of a part's limb are called; a rig without roles is all trunk."""
    kind = "" if part is None else split_part(part)[0]
    if part is None or kind in TRUNK_KINDS:
        return HEAD if kind in ("neck", "head") else TRUNK
    return next(iter(limb_of(part)), OTHER)


def _of_lead(basis: Basis, back: Floats, fine: float) -> Floats:
    """(T,8): the way and the turn of what leads since the sample before, as it sees them, how it
    leans and how high it is."""
    lead = basis.lead
    path, turn = basis.positions[:, lead], basis.rotations[:, lead]
    way = quat.rotate(back, np.diff(path, axis=0, prepend=path[:1])) / fine
    since = quat.multiply(back, np.concatenate((turn[:1], turn[:-1])))
    up = quat.rotate(back, np.broadcast_to([0.0, 0.0, 1.0], path.shape))
    high = path[:, 2:] / fine
    return np.concatenate((way, since[:, 1:] / FINE_SHARE, up / FINE_SHARE, high), axis=1)


def printed(values: Floats) -> Prints:
    """(T,) a number for each of (T,...) values."""
    whole = np.round(values).astype(np.int64).reshape(len(values), -1)
    return np.array([zlib.crc32(row.tobytes()) & 0xFFFF for row in whole], dtype=np.uint16)
