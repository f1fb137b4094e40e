# SPDX-License-Identifier: GPL-3.0-or-later
"""How odd a key is on its own control's path: what mending it takes of that path's jerk.

Judged in the control's channels, in metres as its follower shows them, so that what the figure does
otherwise neither hides nor makes anything.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from .groups import SAME_FRAME, Group

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# A part of a quaternion turns by twice its angle.
QUATERNION = 2.0
# Of the height: a control turns its follower's marks at this distance at least (10 cm at 1.7 m).
LEAST_LEVER_SHARE = 0.06
# Of the height: what paths jerk by rounding and by a steady hand (.9 mm at 1.7 m).
FLOOR_SHARE = 0.0005
# Frames beyond a repair's own whose jerk it changes.
REACH = 3


@dataclass(frozen=True)
class Oddness:
    """size_m   how far the repair moves the control's path at most, metres
    taken      jerk that it takes, and `left` what it leaves: root sums of squares, metres
    """

    size_m: float
    taken: float
    left: float

    @property
    def ratio(self) -> float:
        """How clear it is: jerk taken over jerk left."""
        return self.taken / self.left


def jerk(paths: Floats) -> Floats:
    """Third differences along the first axis, which a smooth hand keeps small."""
    for _ in range(3):  # as np.diff does it, which takes longer over few samples
        paths = paths[1:] - paths[:-1]
    return paths


def scales(basis: Basis, group: Group, lever_m: float) -> Floats:
    """(K,) metres at the follower for one unit of each channel."""
    if group.name == "rotation_quaternion":
        return np.full(len(group.curves), QUATERNION * lever_m)
    if group.name.startswith("rotation"):
        return np.full(len(group.curves), lever_m)
    return np.ones(len(group.curves))


def lever(basis: Basis, control: str, bodies: Sequence[int], at: int) -> float:
    """Metres from a control to the furthest mark of the bodies that it turns with it."""
    return float(levers(basis, control, bodies, np.array([at]))[0])


def levers(basis: Basis, control: str, bodies: Sequence[int], at: Ints) -> Floats:
    """(N,) `lever` on several samples."""
    least = LEAST_LEVER_SHARE * basis.height.scene_m
    matrices = basis.clip.control_matrices
    if len(bodies) == 0 or matrices is None or control not in basis.clip.meta.controls:
        return np.full(len(at), 2.0 * least)
    head = matrices[at, basis.clip.meta.controls.index(control), :3, 3]
    marks = basis.marks[at[:, None], list(bodies), :2]
    furthest = np.linalg.norm(marks - head[:, None, None], axis=-1).max(axis=(1, 2))
    return np.asarray(np.maximum(furthest, least))


def oddness(
    basis: Basis, group: Group, change: Floats, lever_m: float, *, still: Ints | None = None
) -> Oddness:
    """What a repair that changes the group's channels by (T,K) does to their path.

    still   sample indices on which the path should rest: its way counts then, and not its jerk
    """
    values = basis.clip.channel_values
    assert values is not None
    metres, floor = scales(basis, group, lever_m), FLOOR_SHARE * basis.height.scene_m
    return oddness_of(values[:, group.columns], change, metres, floor, still)


def oddness_of(
    values: Floats, change: Floats, metres: Floats, floor: float, still: Ints | None = None
) -> Oddness:
    """`oddness` of channels (T,K) of which each counts so many metres a unit (K,)."""
    path, away = values * metres, change * metres
    touched = np.flatnonzero(np.abs(away).max(axis=-1) > 1e-9)
    if len(touched) == 0:
        return Oddness(0.0, 0.0, floor)
    first = max(touched[0] - REACH, 0)
    last = min(touched[-1] + REACH, len(path) - 1)
    around = np.arange(first, last + 1) if still is None else still
    before, after = (
        float(((jerk(each) if still is None else np.diff(each, axis=0)) ** 2).sum())
        for each in (path[around], (path + away)[around])
    )
    return Oddness(
        size_m=float(np.linalg.norm(away, axis=-1).max()),
        taken=float(np.sqrt(max(before - after, 0.0))),
        left=float(np.sqrt(after) + floor),
    )


def bump(group: Group, frame: float, frames: Floats) -> Floats:
    """(N,) how a smooth curve answers on scene frames to its key on `frame` raised by one.

    Cubic Hermite segments whose slopes are those through each key's neighbours: near to what
    automatic handles do, and the same for all of the group's curves.
    """
    keys = group.times
    n = int(np.argmin(np.abs(keys - frame)))
    answer = np.zeros(len(frames))
    raised = np.zeros(len(keys))
    raised[n] = 1.0
    slopes = np.zeros(len(keys))
    if len(keys) > 2:
        slopes[1:-1] = (raised[2:] - raised[:-2]) / (keys[2:] - keys[:-2])
    for k in range(max(n - 2, 0), min(n + 2, len(keys) - 1)):
        inside = (frames >= keys[k] - SAME_FRAME) & (frames <= keys[k + 1] + SAME_FRAME)
        gap = keys[k + 1] - keys[k]
        u = (frames[inside] - keys[k]) / gap
        answer[inside] = (
            (1.0 + 2.0 * u) * (1.0 - u) ** 2 * raised[k]
            + u * (1.0 - u) ** 2 * gap * slopes[k]
            + u * u * (3.0 - 2.0 * u) * raised[k + 1]
            + u * u * (u - 1.0) * gap * slopes[k + 1]
        )
    return answer
