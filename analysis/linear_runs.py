# SPDX-License-Identifier: GPL-3.0-or-later
"""Lone linear keys in a smooth shot: from which the curves themselves run straight to the next.

The motion need not tell that anything is straight (other controls bend the path meanwhile): it has
only to show how far the smooth curve would take what follows the control.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .causes.effect import Followers
from .causes.groups import Group, groups_of
from .causes.pose_keys import RARE, PoseKeys
from .curves import Curve
from .keys import smoothed
from .linear_keys import LEVEL
from .parts import split_part
from .screen import ScreenBasis

Floats = NDArray[np.float64]

# Of the height: how far the smooth curve must take some point (1 cm at 1.7 m).
SEEN_SHARE = 0.006
# Frames from key to key: in less there is nothing between them.
LEAST_FRAMES = 2.0
# The joint tells it unless the tip shows more: where a tip is the next joint, that one tells it.
PREFERRED = np.array([1.05, 1.0])
# A channel that moves on linear keys for more than this share of its keys is made so.
OFTEN = 0.5
# What these parts do is straight and even by design.
_BY_DESIGN = ("mover", "camera")
# What knees and elbows do in between only the rig can tell; a long prop's tip shows all largest.
_UNTOLD = ("thigh", "shin", "upper_arm", "forearm", "prop")
# Of what shows it nearly as much the innermost tells it.
ALIKE = 0.95


@dataclass(frozen=True, eq=False)
class LinearRun:
    """A control's channels run straight from one key to the next.

    control, group   `location` or `rotation_...`
    first, last      samples of both keys; peak: where the smooth curve is furthest off
    body, mark       what shows it most
    offset (3,)      metres from there to where the smooth curve would take it
    """

    control: str
    group: str
    first: int
    last: int
    peak: int
    body: int
    mark: int
    offset: Floats

    @property
    def size(self) -> float:
        """How far the point is off, metres."""
        return float(np.linalg.norm(self.offset))


def linear_runs(basis: Basis, factor: float) -> list[LinearRun]:
    """Those that are seen to be off the smooth curve, in time's order; none where linear or stepped
    keys are the shot's style.

    factor   widens how far they must be off
    """
    clip = basis.clip
    if isinstance(basis, ScreenBasis) or clip.channel_values is None or not clip.meta.curves:
        return []
    groups = [each for each in groups_of(clip) if each.is_transform and each.name != "scale"]
    if PoseKeys(groups).corners >= RARE:
        return []
    found = []
    for group in groups:
        parts = [body.part or "" for body in basis.bodies if body.name in group.drives]
        kinds = {split_part(part)[0] for part in parts}
        if kinds.intersection(_BY_DESIGN) or kinds <= {"prop"}:
            continue
        followers: Followers | None = None
        for first, last, mended in _segments(group):
            if first < basis.frames[0] or last > basis.frames[-1]:
                continue
            followers = followers or Followers.of(basis, group)
            run = _seen(basis, group, mended, followers, (first, last))
            if run is not None and run.size >= factor * SEEN_SHARE * basis.height.scene_m:
                found.append(run)
    return _one_a_key(found)


def _one_a_key(found: list[LinearRun]) -> list[LinearRun]:
    """Of a control's location and rotation on the same keys the one that shows on the body that is
    mended first, or more."""
    told: dict[tuple[str, int, int], LinearRun] = {}
    for run in sorted(found, key=lambda each: (each.body, -each.size)):
        told.setdefault((run.control, run.first, run.last), run)
    return sorted(told.values(), key=lambda each: each.first)


def _segments(group: Group) -> Iterator[tuple[float, float, Group]]:
    """Scene frames of lone linear segments, and the group with smooth ones there."""
    starts: dict[tuple[float, float], dict[int, int]] = {}
    for k, curve in enumerate(group.curves):
        for n in _lone(curve):
            starts.setdefault((curve.frames[n], curve.frames[n + 1]), {})[k] = n
    for (first, last), where in sorted(starts.items()):
        if last - first >= LEAST_FRAMES:
            yield (
                first,
                last,
                group.with_curves(
                    tuple(
                        smoothed(curve, (where[k],)) if k in where else curve
                        for k, curve in enumerate(group.curves)
                    )
                ),
            )


def _lone(curve: Curve) -> list[int]:
    """Keys from which a curve runs straight while it does not before, or does not after."""
    moves = [abs(b - a) > LEVEL for a, b in pairwise(curve.values)]
    straight = [
        moved and kind == "LINEAR" for moved, kind in zip(moves, curve.interpolation, strict=False)
    ]
    if len(moves) < 2 or sum(straight) > OFTEN * sum(moves):
        return []
    return [
        n
        for n, each in enumerate(straight)
        if each and not (all(straight[max(n - 1, 0) : n]) and all(straight[n + 1 : n + 2]))
    ]


def _seen(
    basis: Basis, group: Group, mended: Group, followers: Followers, keys: tuple[float, float]
) -> LinearRun | None:
    """Where it shows most that a segment is straight."""
    first, last = (int(np.argmin(np.abs(basis.frames - frame))) for frame in keys)
    inside = np.arange(first + 1, last)
    if len(inside) == 0:
        return None
    change = group.change(mended, basis.frames[inside])
    marks = basis.marks[inside][:, :, :2]
    off = followers.moved(group, inside, change) - marks
    size = PREFERRED * np.linalg.norm(off, axis=-1)
    size *= basis.valid[inside][:, :, None] & _judged(basis)[:, None]
    alike = np.flatnonzero(size.max(axis=(0, 2)) >= ALIKE * size.max())
    body = int(min(alike, key=lambda n: len(basis.ancestors(int(n)))))
    at, mark = (int(n) for n in np.unravel_index(int(size[:, body].argmax()), size[:, body].shape))
    return LinearRun(
        group.control, group.name, first, last, int(inside[at]), body, mark, off[at, body, mark]
    )


def _judged(basis: Basis) -> NDArray[np.bool_]:
    """(B,) what is looked at."""
    return np.array(
        [each.judged and split_part(each.part or "")[0] not in _UNTOLD for each in basis.bodies]
    )
