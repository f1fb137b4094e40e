# SPDX-License-Identifier: GPL-3.0-or-later
"""Other values for a key: those that leave the paths smoothest, or that a finding asks for."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from .effect import Followers
from .groups import Group
from .own_path import bump, jerk
from .repairs import AS_AFTER, AS_BEFORE, neighbour_values, values_of, with_values

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# How far a channel is moved to see what it does: metres, radians or parts of a quaternion.
PROBE = 0.01
# What keeps values from running away along a direction in which nothing moves.
RIDGE = 1e-6
# Handles that clamp answer otherwise to a key where it was than where it goes: so many times.
ROUNDS = 3
# Values that differ by less are one.
SAME = 1e-6
# A key of which less arrives does not mend what its channel shows.
LEAST_ARRIVES = 0.05


def jerk_of_smoothest(basis: Basis, group: Group, frame: float, metres: Floats) -> float:
    """The jerk that the smoothest values take off the control's own path, metres.

    metres (K,)   for one unit of each channel
    """
    off = off_smoothest(basis, group, frame)
    if off is None:
        return 0.0
    return float(np.linalg.norm(jerk(answers(group, frame, basis.frames)) * off * metres))


def answers(group: Group, frame: float, frames: Floats) -> Floats:
    """(N,K) what each channel gains on scene frames where its key on `frame` is raised by one."""
    return bump(group, frame, frames)[:, None] * group.arrives(frames)


def held_side(group: Group, frame: float) -> int:
    """-1 where a key repeats the one before it, 1 where it repeats the one after, else 0."""
    here = values_of(group, frame)
    for side in (-1, 1):
        there = neighbour_values(group, frame, side)
        if there is not None and np.nanmax(np.abs(here - there)) <= SAME:
            return side
    return 0


def off_smoothest(
    basis: Basis, group: Group, frame: float, mended: Group | None = None
) -> Floats | None:
    """(K,) from the key's values to the smoothest; from those of the group `mended`, if any."""
    found = smoothest(basis, group, frame, mended)
    return None if found is None else found[2]


def smoothest(
    basis: Basis, group: Group, frame: float, mended: Group | None = None
) -> tuple[Ints, Floats, Floats] | None:
    """(S,) the samples around a key, (S,) the `bump` of its curves there, and `off_smoothest`."""
    values = basis.clip.channel_values
    if values is None:
        return None
    return smoothest_of(values[:, list(group.columns)], basis.frames, group, frame, mended)


def smoothest_of(
    values: Floats, all_frames: Floats, group: Group, frame: float, mended: Group | None = None
) -> tuple[Ints, Floats, Floats] | None:
    """`smoothest` of the group's own channels (T,K) on scene frames (T,)."""
    samples = _samples(all_frames, group.span(frame), beyond=2.0)
    if len(samples) < 6:
        return None
    # Channel by channel in memory: sums over frames are taken in that order.
    path = values[samples][:, list(range(values.shape[1]))]
    frames = all_frames[samples]
    if mended is not None:
        path = path + group.change(mended, frames)
    raised = bump(group, frame, frames)
    answer = jerk(raised[:, None] * group.arrives(frames))
    size = np.maximum((answer**2).sum(axis=0), 1e-12)
    return samples, raised, np.asarray(-(answer * jerk(path)).sum(axis=0) / size)


def off_as_played(basis: Basis, group: Group, frame: float, off: Floats) -> Floats:
    """(K,) from the key's values to the smoothest, by how its curves really play with other ones:
    `off` leaves them smoothest as `bump` has it."""
    here = values_of(group, frame)
    for _ in range(ROUNDS):
        mended = with_values(group, frame, here + off)
        more = off_smoothest(basis, group, frame, mended)
        off = off if more is None else off + more
    return off


def off_asked_for(
    followers: Followers, group: Group, frame: float, body: int, offset: Floats
) -> Floats | None:
    """(K,) from the key's values to those that move a body's joint by an offset (3,) then."""
    basis = followers.basis
    samples = np.array([int(np.argmin(np.abs(basis.frames - frame)))])
    keyed = np.flatnonzero(~np.isnan(values_of(group, frame)))
    if followers.shares[body] <= 0.0 or len(keyed) == 0:
        return None
    still = basis.marks[samples[0], body, 0]
    gained = np.zeros((3, len(keyed)))
    for n, k in enumerate(keyed):
        probe = np.zeros((1, len(group.curves)))
        probe[0, k] = PROBE
        gained[:, n] = (followers.moved(group, samples, probe)[0, body, 0] - still) / PROBE
    off = np.zeros(len(group.curves))
    off[keyed] = _least_squares(gained, offset)
    return in_keys(group, frame, off)


def in_keys(group: Group, frame: float, gain: Floats) -> Floats | None:
    """(K,) what a key's values gain so that the channels gain (K,) on its frame; None where that
    does not arrive."""
    arrives = group.arrives(np.array([frame]))[0]
    if (np.abs(arrives[gain != 0.0]) < LEAST_ARRIVES).any():
        return None
    return np.asarray(gain / np.where(gain != 0.0, arrives, 1.0))


def off_neighbours(group: Group, frame: float) -> Iterator[tuple[str, Floats]]:
    """(K,) from the key's values to those of the key before, and of the key after."""
    here = values_of(group, frame)
    for kind, side in ((AS_BEFORE, -1), (AS_AFTER, 1)):
        there = neighbour_values(group, frame, side)
        if there is not None:
            yield kind, np.nan_to_num(there - here)


def _samples(frames: Floats, span: tuple[float, float], *, beyond: float) -> Ints:
    inside = (frames >= span[0] - beyond) & (frames <= span[1] + beyond)
    return np.flatnonzero(inside)


def _least_squares(answers: Floats, wanted: Floats) -> Floats:
    """(K,) what to take off, so that `answers` (N,K) times it comes nearest to `wanted` (N,)."""
    square = answers.T @ answers
    square += RIDGE * (np.trace(square) / len(square) + 1e-18) * np.eye(len(square))
    return np.asarray(np.linalg.solve(square, answers.T @ wanted))
