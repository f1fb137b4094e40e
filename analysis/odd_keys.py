# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys that are odd beyond doubt on their own control's path.

Putting such a key where its curves run smoothest takes far more of the path's jerk than it leaves,
and more than the same does for any other key of the group; and it moves what follows the control.
"""

from collections.abc import Generator, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .causes.effect import Followers
from .causes.groups import Group, groups_of
from .causes.own_path import FLOOR_SHARE, REACH, Oddness, levers, oddness_of, scales
from .causes.repairs import SUGGESTED, Repair, values_of, with_values
from .causes.values import smoothest_of
from .memory import recalled
from .parts import LEG, split_part

Floats = NDArray[np.float64]

# What the key takes over what it leaves, over this and the most of any other key of the group, and
# times the root of its jerk over what is usual: what no clean key reaches (from trials, half A).
ODD, OTHERS = 2.2, 1.0
# Jerk that is usual on any key, as a share of the height.
USUAL_SHARE = 0.003
# Of the height: how far the key must take what follows (1.5 cm at 1.7 m), and what is a pose.
SEEN_SHARE, MOST_SHARE = 0.009, 0.06
# A group with fewer keys tells nothing of what is usual.
LEAST_KEYS = 6
# So many keys at either end are not judged: there a curve starts and stops as it has to.
ENDS = 2
# Samples from where a flight begins or ends: there the body turns sharply by right.
AT_FLIGHT_END = 2
# A follower goes along by this share of a rigid one's way, or only the rig can tell.
FOLLOWS = 0.3
# Where so many other controls have keys that are this share as odd within so many seconds, it is
# the motion that is rough there (a fall, a landing), and no key by itself.
COMPANY, COMPANY_SHARE, COMPANY_S = 2, 0.6, 0.125
# What is told elsewhere, or shows all largest.
_UNTOLD = (*LEG, "prop", "mover", "camera")


@dataclass(frozen=True, eq=False)
class OddKey:
    """One odd key.

    control, group, frame   the channels' property; the scene frame
    sample, body, mark      where it shows most
    offset (3,)             metres from there to where the smoothest curves would take it
    values (K,)             what the key's channels gain then
    clear                   how odd it is, over the limit
    """

    control: str
    group: Group
    frame: float
    sample: int
    body: int
    mark: int
    offset: Floats
    values: Floats
    clear: float

    @property
    def repair(self) -> Repair:
        """The key at the values that its smoothest curves would give it."""
        values = values_of(self.group, self.frame) + self.values
        return Repair(
            SUGGESTED, self.group, with_values(self.group, self.frame, values), self.frame
        )

    @property
    def amount(self) -> float:
        """How far the point is off, metres."""
        return float(np.linalg.norm(self.offset))


def odd_keys(basis: Basis, factor: float) -> Generator[None, None, list[OddKey]]:
    """The odd keys of every control, in time's order; factor widens the limits. Pauses after each
    control."""
    clip = basis.clip
    if clip.channel_values is None or clip.control_matrices is None:
        return []
    found: list[OddKey] = []
    for group in groups_of(clip):
        if not group.is_transform or group.name == "scale" or len(group.frames) < LEAST_KEYS:
            continue
        followers = Followers.of(basis, group)
        bodies = [n for n in np.flatnonzero(followers.shares > FOLLOWS) if _shows(basis, int(n))]
        if bodies:
            found += _odd_of(basis, group, followers, np.array(bodies), factor)
            yield
    height = basis.height.scene_m
    return sorted(
        (
            each
            for each in found
            if each.clear >= factor
            and factor * SEEN_SHARE * height <= each.amount <= MOST_SHARE * height
            and not _in_company(basis, each, found)
        ),
        key=lambda each: each.sample,
    )


def _in_company(basis: Basis, odd: OddKey, every: list[OddKey]) -> bool:
    near = COMPANY_S / basis.dt_s
    others = {
        each.control
        for each in every
        if abs(each.sample - odd.sample) <= near and each.clear >= COMPANY_SHARE * odd.clear
    }
    return len(others - {odd.control}) >= COMPANY


def _shows(basis: Basis, n: int) -> bool:
    body = basis.bodies[n]
    return body.judged and split_part(body.part or "")[0] not in _UNTOLD


def _odd_of(
    basis: Basis, group: Group, followers: Followers, bodies: NDArray[np.int64], factor: float
) -> Iterator[OddKey]:
    every = _all(basis, group, bodies.tolist())
    taken = np.array([odd.taken for _, odd in every])
    ratios = np.array([odd.ratio for _, odd in every])
    least = USUAL_SHARE * basis.height.scene_m
    for n, (key, _odd) in enumerate(every if len(every) > 1 else ()):
        most = OTHERS + float(np.delete(ratios, n).max())
        if float(ratios[n] * np.sqrt(taken[n] / least)) / most / ODD < COMPANY_SHARE * factor:
            continue  # whatever the others' median is
        usual = least + float(np.median(np.delete(taken, n)))
        clear = float(ratios[n] * np.sqrt(taken[n] / usual)) / most / ODD
        by_right = _on_ones(group, key.frame) or _leaves_or_lands(basis, key.frame)
        if clear >= COMPANY_SHARE * factor and not by_right:
            yield _seen(basis, group, followers, bodies, (key.frame, key.off, clear))


@dataclass(frozen=True, eq=False)
class _Smooth:
    """A key's frame, the way to its smoothest values (K,), and what its group's channels gain then
    on samples (S,): `raised` (S,) of it."""

    frame: float
    off: Floats
    samples: NDArray[np.int64]
    raised: Floats


def _all(basis: Basis, group: Group, bodies: list[int]) -> list[tuple[_Smooth, Oddness]]:
    """Each key with two or more on either side, and how odd it is."""
    values = basis.clip.channel_values
    assert values is not None
    own = values[:, group.columns]
    keys = recalled(basis.memory, _smooth_keys, group, own, basis.frames)
    frames = np.array([key.frame for key in keys])
    at = np.argmin(np.abs(basis.frames - frames[:, None]), axis=1)
    arms = levers(basis, group.control, bodies, at)
    metres = np.array([scales(basis, group, arm) for arm in arms.tolist()])
    floor = FLOOR_SHARE * basis.height.scene_m
    return list(zip(keys, recalled(basis.memory, _oddities, own, keys, metres, floor), strict=True))


def _smooth_keys(group: Group, values: Floats, frames: Floats) -> tuple[_Smooth, ...]:
    """Of a group's channels (T,K) on scene frames (T,): the keys that a curve runs through."""
    found = []
    for frame in group.frames[ENDS:-ENDS]:
        smooth = smoothest_of(values, frames, group, frame)
        if smooth is not None and not _is_stepped(group, frame):
            off = np.where(np.isnan(values_of(group, frame)), 0.0, smooth[2])
            found.append(_Smooth(frame, off, *smooth[:2]))
    return tuple(found)


def _oddities(
    values: Floats, keys: tuple[_Smooth, ...], metres: Floats, floor: float
) -> tuple[Oddness, ...]:
    """How odd keys are whose channels (T,K) each count metres (N,K) a unit."""
    found = []
    for key, scale in zip(keys, metres, strict=True):
        first = max(int(key.samples[0]) - REACH, 0)  # what lies beyond says nothing
        own = values[first : int(key.samples[-1]) + REACH + 1]
        change = np.zeros(own.shape)
        change[key.samples - first] = np.outer(key.raised, key.off)
        found.append(oddness_of(own, change, scale, floor))
    return tuple(found)


def _on_ones(group: Group, frame: float) -> bool:
    """Whether both neighbouring keys are a frame away: what a single frame does, `pop` tells."""
    keys = group.times
    n = int(np.argmin(np.abs(keys - frame)))
    return bool(keys[n] - keys[n - 1] <= 1.0 and keys[n + 1] - keys[n] <= 1.0)


def _leaves_or_lands(basis: Basis, frame: float) -> bool:
    """Whether a flight begins or ends there, where paths turn sharply by right."""
    at = _sample(basis, frame)
    ends = [end for flight in basis.flights for end in (flight.first, flight.last)]
    return any(abs(at - end) <= AT_FLIGHT_END for end in ends)


def _sample(basis: Basis, frame: float) -> int:
    return int(np.argmin(np.abs(basis.frames - frame)))


def _is_stepped(group: Group, frame: float) -> bool:
    """Whether a curve is held from the key on, or up to it."""
    for curve in group.curves:
        n = group.key_at(curve, frame)
        if n is not None and "CONSTANT" in curve.interpolation[max(n - 1, 0) : n + 1]:
            return True
    return False


def _seen(
    basis: Basis,
    group: Group,
    followers: Followers,
    bodies: NDArray[np.int64],
    key: tuple[float, Floats, float],
) -> OddKey:
    frame, values, clear = key
    at = _sample(basis, frame)
    moved = followers.moved(group, np.array([at]), values[None])[0, bodies]
    off = moved - basis.marks[at, bodies, :2]
    sizes = np.linalg.norm(off, axis=-1) * basis.valid[at, bodies][:, None]
    body, mark = (int(k) for k in np.unravel_index(int(sizes.argmax()), sizes.shape))
    return OddKey(
        control=group.control,
        group=group,
        frame=frame,
        sample=at,
        body=int(bodies[body]),
        mark=mark,
        offset=off[body, mark],
        values=values,
        clear=clear,
    )
