# SPDX-License-Identifier: GPL-3.0-or-later
"""A clip that is animated on twos, as one sample a pose.

One sample in two is kept. Where the step shifts by a frame (a pose shown once, or three times),
the poses stand between the samples from then on: each sample is then interpolated between
the poses before and after it, at the frames on which they first show. What is held longer
than a step stays as it is.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from . import quaternions as quat
from .clip import Clip

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


def thin(clip: Clip, step: int, first: int, same_m: float, longest: int) -> Clip:
    """One sample in `step` from sample `first` on, poses at their own times.

    same_m    a joint that moves by less, and turns by less radians, shows the same pose
    longest   what is shown for more samples is a hold
    """
    thinned = clip.every(step, first)
    kept = np.arange(first, len(clip.frames), step)
    positions, rotations = thinned.positions.copy(), thinned.rotations.copy()
    turns = quat.continuous(clip.rotations)
    moved = np.linalg.norm(np.diff(clip.positions, axis=0), axis=-1) > same_m
    turned = 2.0 * np.linalg.norm(np.diff(turns, axis=0), axis=-1) > same_m
    for joint in range(len(clip.joints)):
        shown = np.concatenate(([0], np.flatnonzero(moved[:, joint] | turned[:, joint]) + 1))
        for row, weights in _between(shown, kept, longest):
            poses = shown[list(weights)]
            share = np.array(list(weights.values()))
            positions[row, joint] = share @ clip.positions[poses, joint]
            rotations[row, joint] = share @ turns[poses, joint]
    return replace(thinned, positions=positions, rotations=quat.normalise(rotations))


def _between(
    shown: NDArray[np.int64], kept: NDArray[np.int64], longest: int
) -> list[tuple[int, dict[int, float]]]:
    """Rows of `kept` that fall between two poses, each with the weights of the poses beside it.

    shown   samples on which a new pose first shows
    """
    found = []
    before = np.searchsorted(shown, kept, side="right") - 1
    for row in np.flatnonzero(shown[before] != kept):
        at = int(before[row])
        if at + 1 < len(shown) and shown[at + 1] - shown[at] <= longest:
            found.append((int(row), _weights(shown, at, int(kept[row]))))
    return found


def _weights(shown: NDArray[np.int64], at: int, sample: int) -> dict[int, float]:
    """Lagrange weights of up to two poses on either side."""
    poses = [n for n in range(at - 1, at + 3) if 0 <= n < len(shown)]
    times = {n: float(shown[n]) for n in poses}
    return {
        n: float(np.prod([(sample - times[k]) / (times[n] - times[k]) for k in poses if k != n]))
        for n in poses
    }
