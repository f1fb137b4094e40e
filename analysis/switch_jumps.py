# SPDX-License-Identifier: GPL-3.0-or-later
"""Properties and influences that are switched at once, and what jumps as they are.

Where a switch goes from one frame to the next, what it drives may jump there by less than a point
may be off anywhere else. What is matched does not jump.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .causes.groups import Group, groups_of
from .causes.switches import LEVEL, is_switched
from .curves import Curve
from .parts import split_part
from .screen import ScreenBasis

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Of the height: how far a point must jump (1 cm at 1.7 m).
SEEN_SHARE = 0.006
# How far, times the root mean square of what its path does so nearby: in the world, and of what
# the switch drives against what carries it, which other motion does not reach.
RATIO, OWN_RATIO = 2.5, 4.0
# What is usual anywhere, and what a body must jump by itself, as shares of the height.
FLOOR_SHARE, OWN_SHARE = 0.0003, 0.001
# A jump is all that happens there: once it is taken out no more than this share of it is left.
LEFT = 0.5
# Samples on either side that are nearby, and how many of them it takes.
NEARBY, ENOUGH = 10, 6
# Ways from sample to sample on either side that foretell those of the switch.
BESIDE = 2


@dataclass(frozen=True, eq=False)
class SwitchJump:
    """What jumps as a channel is switched.

    control, channel   before, after: its values
    first, last        the samples between which it goes
    body, mark         what jumps furthest; offset (3,) metres
    clear              how far over its limits it is; bodies: all that it drives
    """

    control: str
    channel: str
    before: float
    after: float
    first: int
    last: int
    body: int
    mark: int
    offset: Floats
    clear: float
    bodies: tuple[int, ...]

    @property
    def size(self) -> float:
        """How far it jumps, metres."""
        return float(np.linalg.norm(self.offset))


def switch_jumps(basis: Basis, factor: float) -> list[SwitchJump]:
    """The switches at which something jumps, in time's order; factor widens the limits."""
    clip = basis.clip
    if isinstance(basis, ScreenBasis) or clip.channel_values is None:
        return []
    found = []
    for group in groups_of(clip):
        if group.is_transform:
            continue
        bodies = _driven(basis, group)
        (curve,) = group.curves
        switched = [n for n in range(len(curve.values)) if is_switched(curve, n)]
        for n in switched if len(bodies) else ():
            jump = _jump(basis, curve, n, bodies, factor)
            if jump is not None:
                found.append(jump)
    return sorted(found, key=lambda each: each.first)


def _driven(basis: Basis, group: Group) -> Ints:
    """What a group drives; what it only holds shows nothing else."""
    return np.array(
        [
            n
            for n, body in enumerate(basis.bodies)
            if body.judged
            and body.name in group.drives
            and split_part(body.part or "")[0] not in ("prop", "chain")
        ],
        dtype=np.int64,
    )


def _jump(basis: Basis, curve: Curve, n: int, bodies: Ints, factor: float) -> SwitchJump | None:
    last = int(np.searchsorted(basis.frames, curve.frames[n] - LEVEL))
    held = curve.interpolation[n - 1] == "CONSTANT" or curve.steps != ""
    first = last - 1
    if not held:
        first = int(np.searchsorted(basis.frames, curve.frames[n - 1] + LEVEL, side="right")) - 1
    reach = BESIDE + 1
    if first < reach or last + reach >= len(basis.frames) or not 0 < last - first <= 2:
        return None
    around = slice(max(first - NEARBY - reach, 0), last + NEARBY + reach + 1)
    if not basis.valid[first - reach : last + reach + 1][:, bodies].all():
        return None
    world, ratio = _clearness(
        basis, basis.marks[around][:, bodies], first - around.start, last - first
    )
    own, own_ratio = _clearness(
        basis, basis.own_marks[around][:, bodies], first - around.start, last - first
    )
    height = basis.height.scene_m
    sizes = np.linalg.norm(world, axis=-1)
    alone = np.linalg.norm(own, axis=-1) >= OWN_SHARE * height
    if not alone.any():
        return None
    clear = max(float(ratio.max()) / RATIO, float((own_ratio * alone).max()) / OWN_RATIO)
    clear = min(clear, float(sizes.max()) / (SEEN_SHARE * height))
    if clear < factor:
        return None
    at, mark = (int(k) for k in np.unravel_index(int(sizes.argmax()), sizes.shape))
    return SwitchJump(
        control=curve.control,
        channel=curve.channel,
        before=curve.values[n - 1],
        after=curve.values[n],
        first=first,
        last=last,
        body=int(bodies[at]),
        mark=mark,
        offset=world[at, mark],
        clear=clear,
        bodies=tuple(bodies.tolist()),
    )


def _clearness(basis: Basis, paths: Floats, at: int, steps: int) -> tuple[Floats, Floats]:
    """(B,3,3) how far points jump within `steps` from sample `at` on, and (B,3) that over what is
    usual of paths (T,B,3,3) nearby."""
    every = _off(np.diff(paths, axis=0), steps)
    here = at - BESIDE
    size = np.linalg.norm(every, axis=-1)
    touched = np.abs(np.arange(len(size)) - here) < BESIDE + steps
    floor = FLOOR_SHARE * basis.height.scene_m
    near = size[~touched]
    if len(near) < ENOUGH:
        return every[here], np.zeros(size.shape[1:])
    mended = np.diff(paths, axis=0)
    mended[at : at + steps] -= every[here] / steps
    left = np.linalg.norm(_off(mended, steps), axis=-1)[touched].max(axis=0)
    ratio = size[here] / (floor + np.sqrt((near**2).mean(axis=0)))
    return every[here], np.where(left <= LEFT * size[here], ratio, 0.0)


def _off(ways: Floats, steps: int) -> Floats:
    """(N,...) what `steps` ways sum up to, beyond the cubic through two ways on either side."""
    places = np.array([-2.0, -1.0, steps, steps + 1.0])
    powers = np.linalg.inv(np.vander(places, increasing=True))
    weights = np.vander(np.arange(float(steps)), 4, increasing=True).sum(axis=0) @ powers
    count = len(ways) - steps - 2 * BESIDE + 1
    shifts = [0, 1, BESIDE + steps, BESIDE + steps + 1]
    told = sum(weight * ways[k : k + count] for weight, k in zip(weights, shifts, strict=True))
    went = sum(ways[BESIDE + k : BESIDE + k + count] for k in range(steps))
    return np.asarray(went - told)
