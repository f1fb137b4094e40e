# SPDX-License-Identifier: GPL-3.0-or-later
"""Bodies limb by limb: what is edited is mostly one limb, and the others are known already."""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .once import once
from .parts import ARM, LEG, split_part

Ints = NDArray[np.int64]


@once
def limb_groups(basis: Basis) -> tuple[Ints, ...]:
    """Indices of the bodies of each arm and leg, and of all others; each body is in one."""
    groups: dict[tuple[bool, str] | None, list[int]] = {}
    for n, body in enumerate(basis.bodies):
        kind, side = split_part(body.part or "")
        limb = (kind in ARM, side) if kind in ARM or kind in LEG else None
        groups.setdefault(limb, []).append(n)
    return tuple(np.array(each) for each in groups.values())
