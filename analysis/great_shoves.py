# SPDX-License-Identifier: GPL-3.0-or-later
"""Shoves so great that nobody does them to himself, whatever stops them.

A body that is stopped again may have thrown itself (see `shoves`), and clean strikes of two or
three frames leave up to 5.3 body weights: but they throw the limbs as well. Trunk and limbs that
are carried along together, that strongly, are carried by another hand.
"""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.contacts import runs, without_short
from .free_fall import GRAVITY
from .outside_force import OutsideForce
from .shoves import APART_S, Shove
from .turning_moment import own_swing

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Body weights, and times what the limbs are thrown with: of clean motion (half A of the quality
# corpus) nothing with 2.7 times the swing or more passes 2.1, and nothing that passes 2.4 has more
# than 2.7 times. A quarter more of either.
GREAT, BY_SWING = 2.7, 3.4
# The swing is the most of so much around; what is half as strong, and follows within so long,
# belongs to it.
AROUND_S, JOIN_S = 0.2, 0.15


def find_great(basis: Basis, forces: OutsideForce, outside: Bools) -> tuple[Shove, ...]:
    """All of them, in time's order; outside (T,) as in `find_shoves`."""
    size = np.where(outside, 0.0, forces.size)
    factor = basis.settings.factor("push")
    if size.max(initial=0.0) <= GREAT * factor:
        return ()
    swing = own_swing(basis)
    joined = without_short(size > 0.5 * GREAT, False, int(JOIN_S / basis.dt_s) - 1)
    found = [_judged(basis, forces, size, swing, span, factor) for span in runs(joined)]
    kept: list[Shove] = []
    for each in found:
        # What comes soon after one is what stops it.
        if each is not None and not (kept and (each.peak - kept[-1].last) * basis.dt_s < APART_S):
            kept.append(each)
    return tuple(kept)


def _judged(
    basis: Basis,
    forces: OutsideForce,
    size: Floats,
    swing: Floats,
    span: tuple[int, int],
    factor: float,
) -> Shove | None:
    """The shove over a span, told by what sets the body going; None where it is none."""
    first, last = span
    strongest = first + int(np.argmax(size[first : last + 1]))
    near = round(AROUND_S / basis.dt_s)
    thrown = float(swing[max(strongest - near, 0) : strongest + near + 1].max())
    limit = factor * max(GREAT, BY_SWING * thrown)
    if size[strongest] <= limit:
        return None
    along = forces.left[first : last + 1] @ (forces.left[strongest] / size[strongest])
    # What stops the body may be stronger than what set it going, which is what pushes it.
    sets_going = along if along[0] >= 0.0 else -along
    while_so = np.flatnonzero(sets_going < 0.0)
    ends = first + (int(while_so[0]) if len(while_so) else last - first + 1)
    peak = first + int(np.argmax(size[first:ends]))
    speed = float(size[first:ends].sum()) * basis.dt_s * GRAVITY
    return Shove(first, last, peak, forces.left[peak].copy(), speed, factor * GREAT)
