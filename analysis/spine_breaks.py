# SPDX-License-Identifier: GPL-3.0-or-later
"""Where a trunk breaks: a joint of the spine bent beyond its share, a chest turned further against
the hips than a back goes, a spine that stretches."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.contacts import runs
from .declared import of_trunk
from .memory import recalled
from .spine import Spine
from .spine_shares import beyond_share, used_joints

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

JOINT, REACH, STRETCH = "joint", "reach", "stretch"
# Degrees beyond its share from which on a joint is off; clean motion stays under 9.
JOINT_DEG = 13.0
# How far a back goes, in degrees: forward, back, to a side, twisted. After the joint ranges that
# handbooks of goniometry give for the trunk (from memory); it is off from so many times on.
FORWARD_DEG, BACK_DEG, SIDE_DEG, TWIST_DEG = 85.0, 30.0, 35.0, 45.0
REACH_TIMES = 1.4
# A link is stretched or squeezed by this share of its length, and of the height (1 cm at 1.7 m);
# links shorter than the third say nothing.
STRETCH_SHARE, STRETCH_SEEN, SHORT_SHARE = 0.12, 0.006, 0.01
# It never has its length at rest where so much of the time (per cent) it is longer, or shorter.
NEVER = (20.0, 80.0)
# What is over a limit for less than this is left to what looks for pops.
LEAST_S = 0.06
# A break reaches as far as there is this share of its peak.
EXTENT_SHARE = 0.5


@dataclass(frozen=True, eq=False)
class Break:
    """kind     JOINT, REACH or STRETCH
    place       which joint of the spine, from the hips up
    first, last, peak   samples
    amount      degrees, or the share that a link is longer
    limit       in the same unit
    bend        (3,) at the peak: degrees beyond the joint's share, or of the chest on the hips;
                metres that a link is longer, and nothing
    """

    kind: str
    place: int
    first: int
    last: int
    peak: int
    amount: float
    limit: float
    bend: Floats


@dataclass(frozen=True, eq=False)
class Breaks:
    """found    what is off, in time's order, one a moment
    most_beyond  degrees that any joint is beyond its share; 0 where fewer than two bend
    joints     places of the joints that bend at all
    """

    found: tuple[Break, ...]
    most_beyond: float
    joints: tuple[int, ...]


def find_breaks(basis: Basis, spine: Spine, factor: float) -> Breaks:
    """All breaks of a trunk, limits times `factor`; what is declared is left out."""
    joints = used_joints(spine)
    found = _stretches(basis, spine, factor)
    most = 0.0
    if len(joints) > 1:
        beyond = beyond_share(spine, joints, basis.dt_s)
        most = float(np.linalg.norm(beyond, axis=-1).max())
        found += _joints(basis, beyond, factor * JOINT_DEG)
    if spine.from_rest:
        found += _reach(basis, spine, factor * REACH_TIMES)
    kept: list[Break] = []
    for each in found:
        apart = all(each.first > k.last or each.last < k.first for k in kept)
        if apart and not of_trunk(basis, each.first, each.last):
            kept.append(each)
    return Breaks(tuple(_joined(kept)), most, tuple(joints))


def _joined(found: list[Break]) -> list[Break]:
    """Breaks in time's order; one that the joint's honest motion hides for a while is one."""
    joined: list[Break] = []
    for each in sorted(found, key=lambda each: each.first):
        old = joined[-1] if joined else None
        if old is not None and _goes_on(old, each):
            larger = max(old, each, key=lambda one: abs(one.amount))
            joined[-1] = replace(larger, first=old.first, last=each.last)
        else:
            joined.append(each)
    return joined


def _goes_on(old: Break, new: Break) -> bool:
    """Whether two breaks are one: of one joint, one way, with a gap no longer than the longer."""
    same = (old.kind, old.place) == (new.kind, new.place)
    longest = max(old.last - old.first, new.last - new.first)
    return bool(same and old.bend @ new.bend > 0.0 and new.first - old.last <= longest)


def reach_share(whole: Floats) -> Floats:
    """(T,) how far a chest is turned against the hips (T,3), as times of what a back does."""
    forward = np.where(whole[:, 0] > 0.0, FORWARD_DEG, BACK_DEG)
    ranges = np.stack((forward, np.full(len(whole), SIDE_DEG), np.full(len(whole), TWIST_DEG)), 1)
    return np.asarray(np.linalg.norm(whole / ranges, axis=-1))


def _joints(basis: Basis, beyond: Floats, limit: float) -> list[Break]:
    """Joints beyond their share, the furthest first."""
    sizes = np.linalg.norm(beyond, axis=-1)
    found = [
        Break(
            JOINT, place, first, last, peak, float(sizes[peak, place]), limit, beyond[peak, place]
        )
        for place in range(sizes.shape[1])
        for first, last, peak in _stays(basis, sizes[:, place], limit)
    ]
    return sorted(found, key=lambda each: -each.amount)


def _reach(basis: Basis, spine: Spine, limit: float) -> list[Break]:
    """Where the chest is turned further against the hips than a back goes."""
    share = np.where(spine.valid, reach_share(spine.whole), 0.0)
    angle = np.linalg.norm(spine.whole, axis=-1)
    top = len(spine.bodies) - 1
    return [
        Break(
            REACH,
            top,
            first,
            last,
            peak,
            float(angle[peak]),
            float(angle[peak] * limit / share[peak]),
            spine.whole[peak],
        )
        for first, last, peak in _stays(basis, share, limit)
    ]


def link_lengths(basis: Basis, spine: Spine) -> Floats:
    """(K,) metres that each link has at rest, or usually where it never has that length; NaN for
    those that are too short to tell."""
    known = spine.links[spine.valid]
    usual, low, high = recalled(basis.memory, _middle_and_ends, known)
    rest = basis.clip.rest_positions
    if rest is not None:
        joints = [basis.bodies[n].joint for n in (spine.base, *spine.bodies)]
        at_rest = np.linalg.norm(np.diff(rest[joints], axis=0), axis=-1)
        has = (low <= (1.0 + STRETCH_SHARE) * at_rest) & (high >= (1.0 - STRETCH_SHARE) * at_rest)
        usual = np.where(has, at_rest, usual)
    return np.where(usual > SHORT_SHARE * basis.height.scene_m, usual, np.nan)


def _middle_and_ends(known: Floats) -> tuple[Floats, Floats, Floats]:
    """(K,) the medians of lengths (N,K), and the least and the most that they have."""
    low, high = np.percentile(known, NEVER, axis=0)
    return np.asarray(np.median(known, axis=0)), low, high


def _stretches(basis: Basis, spine: Spine, factor: float) -> list[Break]:
    """Links that are longer or shorter than they are at rest, the furthest first."""
    lengths = link_lengths(basis, spine)
    off = np.where(spine.valid[:, None], spine.links - lengths, 0.0)
    seen = factor * STRETCH_SEEN * basis.height.scene_m
    limit = factor * STRETCH_SHARE
    found = []
    for place in np.flatnonzero(np.isfinite(lengths)).tolist():
        share = np.abs(off[:, place]) / lengths[place]
        least = max(limit, float(seen / lengths[place]))
        for first, last, peak in _stays(basis, share, least):
            longer = float(np.copysign(share[peak], off[peak, place]))
            bend = np.array([off[peak, place], 0.0, 0.0])
            found.append(Break(STRETCH, place, first, last, peak, longer, least, bend))
    return sorted(found, key=lambda each: -abs(each.amount))


def _stays(basis: Basis, sizes: Floats, limit: float) -> list[tuple[int, int, int]]:
    """First, last and peak sample of each stretch over the limit that lasts."""
    least = max(round(LEAST_S / basis.dt_s), 2)
    found = []
    for first, last in runs(sizes >= EXTENT_SHARE * limit):
        peak = first + int(np.argmax(sizes[first : last + 1]))
        if np.count_nonzero(sizes[first : last + 1] >= limit) < min(least, len(sizes)):
            continue
        inside = np.flatnonzero(sizes[first : last + 1] >= EXTENT_SHARE * sizes[peak])
        found.append((first + int(inside[0]), first + int(inside[-1]), peak))
    return found
