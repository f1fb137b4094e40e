# SPDX-License-Identifier: GPL-3.0-or-later
"""Flights of stepped blocking: poses that are held, some of them in the air.

A pose on the ground before those in the air is the one that leaves, and the next one on the
ground the one that lands: the frames on which they begin are what an animator times. Where such a
pose is still bent for the push, or already for the catch, the leg stretches in between, at a
moment that is not told: then all that it may be is kept.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from .air_time import Arc
from .basis import Basis
from .basis.flights import Flight
from .basis.mass import mass_known
from .basis.touch_points import TOUCH_SHARE
from .exposure import SAME_SHARE, find_exposures
from .flown import SHORTEST_S, Flown, Open
from .free_fall import GRAVITY
from .parts import SIDES

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

# A leg shorter than this share of its longest is bent for a push or a catch.
BENT_SHARE = 0.94
# On so many frames poses are held.
STILL_SHARE = 0.6


def is_stepped(basis: Basis) -> bool:
    """Whether the body that leads holds each pose and jumps to the next one.

    At the stage blocking it is enough that the figure stands still on most frames.
    """
    if find_exposures(basis).steps[basis.lead] == 0:
        return True
    still = 1.0 - (len(_starts(basis)) - 1) / max(len(basis.frames) - 1, 1)
    return basis.settings.stage == "blocking" and still >= STILL_SHARE


def held_flown(basis: Basis) -> list[Flown]:
    """All flights of .25 s or more between two poses on the ground, in time's order."""
    if basis.com is None or len(basis.soles) < 2:
        return []
    starts = _starts(basis)
    air = _in_air(basis)[starts]
    found = []
    for n in range(1, len(starts)):
        if not air[n] or air[n - 1]:
            continue
        after = n + int(np.argmin(air[n:]))
        if after > n:
            found.append(_of(basis, starts, n, after))
    return [each for each in found if each is not None]


def _starts(basis: Basis) -> Ints:
    """Samples on which a pose begins."""
    moved = np.linalg.norm(np.diff(basis.positions, axis=0), axis=-1).max(axis=1)
    changes = np.flatnonzero(moved > SAME_SHARE * basis.height.scene_m) + 1
    return np.concatenate(([0], changes))


def _in_air(basis: Basis) -> Bools:
    """(T,) whether nothing is near to what bears. Held poses are still: that tells nothing."""
    points = basis.touch_points
    near = (points.touches & ~points.sole).any(axis=1)
    for sole in basis.soles:
        near |= (sole.clearance < TOUCH_SHARE * basis.height.scene_m).any(axis=1)
    return np.asarray(~near)


def _of(basis: Basis, starts: Ints, first: int, after: int) -> Flown | None:
    """The flight of the poses from number `first` up to the one `after` them, on the ground."""
    leaves, lands = int(starts[first - 1]), int(starts[after])
    flight = Flight(int(starts[first]), lands - 1, whole=True)
    known = bool(mass_known(basis)[leaves : lands + 1].all())
    longest = (lands - leaves) * basis.dt_s
    if basis.com is None or not known or longest < SHORTEST_S:
        return None
    heights = basis.com[[leaves, *starts[first:after], lands], 2]
    up_to, down_to = (_stretch(basis, at) for at in (leaves, lands))
    rises = (heights[1:-1].max() - heights[[0, -1]]) * basis.height.to_story
    straight = rises - np.array([up_to, down_to]) * basis.height.to_story
    if straight.min() <= 0.0:
        return None
    keyed, least = (Arc(float(up), float(down), longest) for up, down in (rises, straight))
    if up_to == down_to == 0.0:
        return Flown(flight, leaves, lands, keyed.fall, 0.0, True, keyed, posed=True)
    leaves_by = flight.first if up_to else leaves
    lands_from = int(starts[after - 1]) if down_to else lands
    shortest = max((lands_from - leaves_by) * basis.dt_s, basis.dt_s)
    most = replace(least, seconds=shortest).fall
    left = Open(least.fall, most, keyed.fall, leaves_by, lands_from)
    # What is too quick even so is told by the least that it needs.
    quick = least.fall > GRAVITY
    fall = min(max(GRAVITY, least.fall), most)
    arc = least if quick else keyed
    return Flown(flight, leaves, lands, fall, 0.0, True, arc, posed=True, open=left)


def _stretch(basis: Basis, at: int) -> float:
    """By how much the longer leg is bent in a pose on the ground, metres; 0 where it is not."""
    left = []
    for side in SIDES:
        hip, foot = (basis.body(f"{part}.{side}") for part in ("thigh", "foot"))
        if hip is None or foot is None:
            continue
        length = np.linalg.norm(basis.positions[:, hip] - basis.positions[:, foot], axis=-1)
        if length[at] >= BENT_SHARE * length.max():
            return 0.0
        left.append(float(length.max() - length[at]))
    return min(left, default=0.0)
