# SPDX-License-Identifier: GPL-3.0-or-later
"""Limbs that stretch beyond their length at rest, and limbs whose goal leaves their end.

Where a goal lies beyond reach, some rigs make the bones longer, others leave the hand or foot
behind. Both are told against what the limb does in the rest of the shot.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .basis import Basis
from .basis.contacts import runs
from .basis.tremble import noise_of
from .limbs import Limb
from .once import once

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A limb is longer than at rest by this share of it, and by so many times the median of what it is
# off its median length (bones that are solved from markers vary all the time).
LONGER, VARIES = 0.02, 6.0
# And by so many standard deviations of what its joints' noise makes of it, told by the median of
# differences of this order: both bones keep their lengths, or change them slowly.
TREMBLES, ORDER, MIDDLE = 4.8, 4, 0.5
# It is one stretch until the limb is less longer than this share of that.
EASED = 0.5
# Bones that vary by less than this share do not stretch at all: what rounding does.
RIGID = 5e-4
# A limb that is so much longer for more of the shot than this does so by style.
MOSTLY = 0.5
# The goal is off the limb's end by so much of the height (1 cm at 1.7 m) ...
OFF_SHARE = 0.006
# ... while the limb is straight (degrees); bent by more than the second, it reaches its goal.
STRAIGHT_DEG, BENT_DEG = 3.0, 6.0
# So many samples on which it does tell where on the control the end belongs.
LEAST_BENT = 3


@dataclass(frozen=True, eq=False)
class Stretch:
    """A limb is longer than at rest on samples first..last, most at `peak`: by `share` of its
    length (limit: what that is compared with), which is `metres`."""

    limb: Limb
    first: int
    last: int
    peak: int
    share: float
    limit: float
    metres: float


@dataclass(frozen=True, eq=False)
class Gap:
    """A limb's end stays behind its goal on samples first..last, most at `peak`: by `away` (3,)
    metres (from the end to its goal), compared with `limit`."""

    limb: Limb
    control: str
    first: int
    last: int
    peak: int
    away: Floats
    limit: float

    @property
    def metres(self) -> float:
        """How far the end stays behind at most."""
        return float(np.linalg.norm(self.away))


def longer(limb: Limb) -> Floats:
    """(T,) by which share of its length at rest a limb is longer; 0 in gaps."""
    share = limb.bones.sum(axis=1) / limb.rest.sum() - 1.0
    return np.asarray(np.where(limb.known, share, 0.0))


def is_elastic(limb: Limb) -> bool:
    """Whether a limb's length ever changes."""
    share = longer(limb)[limb.known]
    return bool(len(share) and np.ptp(share) > RIGID)


def stretches_always(limb: Limb) -> bool:
    """Whether a limb is longer than at rest for most of the shot: its style."""
    share = longer(limb)[limb.known]
    return is_elastic(limb) and float(np.mean(share > LONGER)) > MOSTLY


def find_stretches(limb: Limb, factor: float) -> list[Stretch]:
    """A limb's stretches, in time's order."""
    share = longer(limb)
    if not is_elastic(limb) or stretches_always(limb):
        return []
    usual = float(np.median(share[limb.known]))
    varies = float(np.median(np.abs(share[limb.known] - usual)))
    # A rig that rests at another length throughout is no stretch.
    share = np.where(limb.known, share - max(usual, 0.0), 0.0)
    limits = factor * np.maximum(max(LONGER, VARIES * varies), TREMBLES * _trembles(limb))
    found = []
    for first, last in _runs(share > limits, share > EASED * limits):
        peak = first + int(np.argmax(share[first : last + 1]))
        most, limit = float(share[peak]), float(limits[peak])
        found.append(Stretch(limb, first, last, peak, most, limit, most * float(limb.rest.sum())))
    return found


def _trembles(limb: Limb) -> Floats:
    """(T,) standard deviation of what noise makes of a limb's length, as a share of it.

    Hip and ankle change it along a bone each, the knee along both: most where they are bent.
    """
    times = np.sqrt(4.0 - 2.0 * np.cos(limb.bend))
    joints = noise_of([(limb.bones.sum(axis=1) / times)[:, None]], [limb.known], ORDER, MIDDLE)
    return np.asarray(times * joints / limb.rest.sum())


def find_gaps(basis: Basis, limb: Limb, part: str, factor: float) -> list[Gap]:
    """Where a limb's end stays behind its goal, in time's order; none where no goal is known."""
    control = basis.clip.meta.targets.get(part)
    away = None if control is None else goal_of(basis, limb, control)
    if control is None or away is None:
        return []
    limit = factor * OFF_SHARE * basis.height.scene_m
    off = np.linalg.norm(away, axis=-1)
    behind = (off > limit) & (np.degrees(limb.bend) < STRAIGHT_DEG) & limb.known
    found = []
    for first, last in _runs(behind, behind):
        peak = first + int(np.argmax(off[first : last + 1]))
        found.append(Gap(limb, control, first, last, peak, away[peak], limit))
    return found


@once
def goal_of(basis: Basis, limb: Limb, control: str) -> Floats | None:
    """(T,3) metres from a limb's end to where its control wants it; None where the limb is never
    bent for long enough to tell where on the control the end belongs."""
    clip = basis.clip
    if clip.control_matrices is None:
        return None
    matrices = clip.control_matrices[:, clip.meta.controls.index(control)]
    bent = (np.degrees(limb.bend) > BENT_DEG) & limb.known
    if np.count_nonzero(bent) < LEAST_BENT:
        return None
    turns, place = quat.from_matrices(matrices), matrices[:, :3, 3]
    held = quat.rotate(quat.conjugate(turns), limb.paths[:, 2] - place)
    belongs = np.median(held[bent], axis=0)
    return np.asarray(place + quat.rotate(turns, belongs[None]) - limb.paths[:, 2])


def _runs(over: Bools, still: Bools) -> list[tuple[int, int]]:
    """First and last samples that are over, one pair for each run of `still` that holds some."""
    found = []
    for start, stop in runs(still):
        samples = start + np.flatnonzero(over[start : stop + 1])
        if len(samples):
            found.append((int(samples[0]), int(samples[-1])))
    return found
