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
from .causes.own_path import Oddness, lever, oddness
from .causes.repairs import SUGGESTED, Repair, values_of, with_values
from .causes.values import smoothest
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
    every = list(_all(basis, group, bodies.tolist()))
    taken = np.array([each.taken for _, _, each in every])
    ratios = np.array([each.ratio for _, _, each in every])
    least = USUAL_SHARE * basis.height.scene_m
    for n, (frame, off, _odd) in enumerate(every if len(every) > 1 else ()):
        most = OTHERS + float(np.delete(ratios, n).max())
        if float(ratios[n] * np.sqrt(taken[n] / least)) / most / ODD < COMPANY_SHARE * factor:
            continue  # whatever the others' median is
        usual = least + float(np.median(np.delete(taken, n)))
        clear = float(ratios[n] * np.sqrt(taken[n] / usual)) / most / ODD
        by_right = _on_ones(group, frame) or _leaves_or_lands(basis, frame)
        if clear >= COMPANY_SHARE * factor and not by_right:
            yield _seen(basis, group, followers, bodies, (frame, off, clear))


def _all(basis: Basis, group: Group, bodies: list[int]) -> Iterator[tuple[float, Floats, Oddness]]:
    """Each key with two or more on either side: its frame, the way to its smoothest values (K,),
    and how odd it is."""
    for frame in group.frames[ENDS:-ENDS]:
        found = smoothest(basis, group, frame)
        if found is None or _is_stepped(group, frame):
            continue
        samples, raised, off = found
        off = np.where(np.isnan(values_of(group, frame)), 0.0, off)
        at = int(np.argmin(np.abs(basis.frames - frame)))
        change = np.zeros((len(basis.frames), len(off)))
        change[samples] = np.outer(raised, off)
        yield frame, off, oddness(basis, group, change, lever(basis, group.control, bodies, at))


def _on_ones(group: Group, frame: float) -> bool:
    """Whether both neighbouring keys are a frame away: what a single frame does, `pop` tells."""
    keys = group.times
    n = int(np.argmin(np.abs(keys - frame)))
    return bool(keys[n] - keys[n - 1] <= 1.0 and keys[n + 1] - keys[n] <= 1.0)


def _leaves_or_lands(basis: Basis, frame: float) -> bool:
    """Whether a flight begins or ends there, where paths turn sharply by right."""
    at = int(np.argmin(np.abs(basis.frames - frame)))
    ends = [end for flight in basis.flights for end in (flight.first, flight.last)]
    return any(abs(at - end) <= AT_FLIGHT_END for end in ends)


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
    at = int(np.argmin(np.abs(basis.frames - frame)))
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
