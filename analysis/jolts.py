# SPDX-License-Identifier: GPL-3.0-or-later
"""Jolts: where a body that stands on both feet darts aside and stops, as no feet can make it.

What throws it off is followed at once by what stops it again, so neither stands alone as a shove
does (see `shoves`); but a body whose feet both stay where they are, and whose limbs hardly swing,
has nothing to throw itself with. Both pulses together are told, against what is left elsewhere in
the shot.
"""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.contacts import runs, without_short
from .free_fall import GRAVITY
from .outside_force import OutsideForce
from .shoves import SCENE_S, Shove
from .turning_moment import own_swing

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Less than this, in body weights, is left of many an honest move; pulses that follow each other
# within so long are one jolt, which takes no longer than this.
LEFT, JOIN_S, LONGEST_S = 0.15, 0.15, 0.45
# From so many body weights on, in the mean over so long; more by what is left elsewhere in the
# scene, and by the swing of its limbs (darts of 6 to 12 cm in .08 to .2 s: .3 to .9).
JOLT, BY_OTHERS, BY_SWING, MEAN_S = 0.25, 1.5, 0.1, 0.08
# Who swings his limbs by more than this strikes or throws, and throws himself with them.
MOST_SWING = 0.6
# The weaker of throw and stop is this much of the other (of darts: .75 or more; of the crouch
# before a jump: .45): else it goes on.
STOPS = 0.6
# Both feet stand from so long before it to so long after.
STANDS_S = 0.12


def find_jolts(basis: Basis, forces: OutsideForce, outside: Bools) -> tuple[Shove, ...]:
    """All jolts as shoves, in time's order; outside (T,) as in `find_shoves`."""
    size = np.where(outside, 0.0, forces.size)
    spans = runs(without_short(size > LEFT, False, int(JOIN_S / basis.dt_s) - 1))
    swing, stands = own_swing(basis), _on_both_feet(basis)
    found = [_judged(basis, forces, size, swing, span) for span in spans if _stays(stands, span)]
    return tuple(each for each in found if each is not None)


def _on_both_feet(basis: Basis) -> Bools:
    """(T,) whether both feet have stood for a while, and go on for one."""
    count = len(basis.frames)
    near = max(round(STANDS_S / basis.dt_s), 1)
    stands = {side: np.zeros(count, dtype=bool) for side in ("L", "R")}
    for plant in basis.plants:
        first = 0 if plant.first == 0 else plant.first + near
        last = count - 1 if plant.last == count - 1 else plant.last - near
        stands[plant.side][first : max(last, first - 1) + 1] = True
    return np.asarray(stands["L"] & stands["R"])


def _stays(stands: Bools, span: tuple[int, int]) -> bool:
    return bool(stands[span[0] : span[1] + 1].all())


def _judged(
    basis: Basis, forces: OutsideForce, size: Floats, swing: Floats, span: tuple[int, int]
) -> Shove | None:
    """The jolt over a span, told by what throws the body off; None where it is none."""
    first, last = span
    own = slice(first, last + 1)
    mean = max(round(MEAN_S / basis.dt_s), 2)
    if last - first + 1 < mean or (last - first + 1) * basis.dt_s > LONGEST_S:
        return None
    if swing[own].max() > MOST_SWING:
        return None
    lasting = float(np.convolve(size[own], np.ones(mean) / mean, mode="valid").max())
    beside = round(SCENE_S / basis.dt_s)
    others = (size[max(first - beside, 0) : max(first - 2, 0)], size[last + 3 : last + beside])
    elsewhere = float(max(each.max(initial=0.0) for each in others))
    limit = JOLT + BY_OTHERS * elsewhere + BY_SWING * float(swing[own].max())
    limit *= basis.settings.factor("push")
    left = forces.left[own]
    throws = _throw(left, size[own])
    if throws is None or lasting <= limit:
        return None
    start, stop, peak = throws
    speed = float(size[first + start : first + stop].sum()) * basis.dt_s * GRAVITY
    return Shove(first, last, first + peak, left[peak].copy(), speed, limit)


def _throw(left: Floats, size: Floats) -> tuple[int, int, int] | None:
    """Where in a jolt (N,3) what throws the body off starts and stops, and its peak.

    None where nothing stops it again.
    """
    strongest = int(np.argmax(size))
    along = left @ (left[strongest] / max(float(size[strongest]), 1e-9))
    if along.min() > -STOPS * size[strongest]:
        return None
    against = int(np.argmin(along))
    peak = min(strongest, against)
    signs = along if peak == strongest else -along
    same = np.flatnonzero(signs > 0.0)
    early = same[same < max(strongest, against)]
    return int(early[0]), int(early[-1]) + 1, peak
