# SPDX-License-Identifier: GPL-3.0-or-later
"""How far each key of a control sits off the arc that its neighbours make.

The arc is a centripetal Catmull-Rom curve (Catmull & Rom 1974; Barry & Goldman 1988) through the
two keys before and the two after, without the key itself. It has no times: a key that is early or
late on its arc is on it, so that spacing is not mistaken for shape.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from .arc_paths import KeyPath, key_paths
from .basis import Basis

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Points of the arc between the key before and the key after.
_STEPS = 33
# Neighbours on either side that are judged again with the key left out: its arc is theirs too.
_REACH = 2
# Misses that are no more than this share of the height are alike (.5 cm at 1.7 m).
LEAST_SHARE = 0.003
# What a miss is told against is at least this share of the height: the shot's other misses, the way
# to the neighbours.
HABIT_SHARE, WAY_SHARE = 0.002, 0.005
# Other controls that are keyed so near in time are keyed for the same pose, seconds.
POSE_S = 0.08
# How much it weighs that they are off as well: the power of the clearest of them, which counts as
# this much at least.
POSE_POWER, POSE_LEAST = 0.25, 0.1
# Where no other control is keyed, the clearest of them counts as an ordinary key.
_ALONE = 0.3


@dataclass(frozen=True, eq=False)
class KeyMiss:
    """How far one key is off.

    control, group, frame   `location` or `rotation`; the scene frame
    sample, body, mark, joint   where in the clip; the body whose point shows it, and its joint
    miss (3,)     from where the key puts the point to its arc, metres, world
    amount        its length
    gain          how much smaller the misses of this key and its neighbours get when the key is put
                  on the arc: 1 all of it, 0 nothing
    ratio         the miss over the largest that is left nearby once the key is put on the arc
    habit         the miss over the largest of all other keys of the group in the shot
    usual         the median of those, metres
    clear         the miss over the geometric mean of the largest of those and of the way to the
                  nearer neighbour; less where other controls' keys of the same pose are off as well
    """

    control: str
    group: str
    frame: float
    sample: int
    body: int
    mark: int
    joint: str
    miss: Floats
    amount: float
    gain: float
    ratio: float
    habit: float
    usual: float
    clear: float
    path: KeyPath
    key: int


def key_errors(
    basis: Basis,
    groups: Collection[tuple[str, str]] | None = None,
    frames: tuple[float, float] | None = None,
) -> list[KeyMiss]:
    """Every inner key of the clip's controls with how far it is off, the clearest first.

    groups   pairs (control, `location` or `rotation`), or None for all
    frames   first and last scene frame of the keys wanted, or None for all
    """
    every = [each for path in key_paths(basis) for each in path_errors(basis, path)]
    wanted = [each for each in every if groups is None or (each.control, each.group) in groups]
    found = _among_others(basis, wanted, every)
    if frames is not None:
        found = [each for each in found if frames[0] <= each.frame <= frames[1]]
    return sorted(found, key=lambda each: -each.clear)


def _among_others(
    basis: Basis, wanted: Sequence[KeyMiss], every: Sequence[KeyMiss]
) -> list[KeyMiss]:
    """The same, told against what the other controls' keys of the same pose are off."""
    near = max(1, round(POSE_S / basis.dt_s))
    controls = {name: n for n, name in enumerate(dict.fromkeys(e.control for e in every))}
    whose = np.array([controls[each.control] for each in every])
    when = np.array([each.sample for each in every])
    habits = np.array([each.habit for each in every])
    found = []
    for each in wanted:
        others = (whose != controls[each.control]) & (np.abs(when - each.sample) <= near)
        clearest = float(habits[others].max()) if others.any() else _ALONE
        weight = (POSE_LEAST + clearest) ** POSE_POWER
        found.append(replace(each, clear=each.clear / weight))
    return found


def path_errors(basis: Basis, path: KeyPath) -> list[KeyMiss]:
    """The inner keys of one group of channels, in order of time."""
    count = len(path.samples)
    if count < 2 * _REACH + 1:
        return []
    keys = np.arange(1, count - 1)
    miss = np.zeros((count, 3))
    miss[keys] = _misses(path, keys, keys, keys)
    size = np.linalg.norm(miss, axis=-1)
    near, before = _nearby(path, keys, size)
    height = basis.height.scene_m
    floor = LEAST_SHARE * height
    ways = _ways(path, keys)
    found = []
    for n, key in enumerate(keys):
        others = _others(size, near[n], int(key))
        most = float(others.max()) + HABIT_SHARE * height
        left, worst = float(np.nanmax(near[n])), max(float(size[key]), float(before[n]))
        found.append(
            KeyMiss(
                control=path.control,
                group=path.group,
                frame=float(path.frames[key]),
                sample=int(path.samples[key]),
                body=path.body,
                mark=path.mark,
                joint=basis.bodies[path.body].name,
                miss=miss[key],
                amount=float(size[key]),
                gain=max(1.0 - left / worst, 0.0) if worst > 0.0 else 0.0,
                ratio=float(size[key]) / (floor + left),
                habit=float(size[key]) / (floor + float(others.max())),
                usual=float(np.median(others)),
                clear=float(size[key]) / float(np.sqrt(most * (ways[n] + WAY_SHARE * height))),
                path=path,
                key=int(key),
            )
        )
    return found


def _ways(path: KeyPath, keys: Ints) -> Floats:
    """(N,) from each key to the nearer of its neighbours, metres."""
    places = path.places(np.stack((keys - 1, keys, keys + 1), axis=-1), keys)
    steps = np.linalg.norm(np.diff(places, axis=1), axis=-1)
    return np.asarray(steps.min(axis=1))


def _nearby(path: KeyPath, keys: Ints, size: Floats) -> tuple[Floats, Floats]:
    """(N,4) misses of the neighbours of each key once it is left out, NaN where there is none;
    and (N,) the largest of theirs as they are."""
    last = len(path.samples) - 1
    near = np.full((len(keys), 2 * _REACH), np.nan)
    before = np.zeros(len(keys))
    shifts = [*range(-_REACH, 0), *range(1, _REACH + 1)]
    for column, shift in enumerate(shifts):
        there = keys + shift
        inside = (there > 0) & (there < last)
        mine, their = keys[inside], there[inside]
        off = _misses(path, their, mine, mine)
        near[inside, column] = np.linalg.norm(off, axis=-1)
        before[inside] = np.maximum(before[inside], size[their])
    return near, before


def _others(size: Floats, near: Floats, key: int) -> Floats:
    """Misses of all other inner keys; of those nearby as they are without the key."""
    far = [n for n in range(1, len(size) - 1) if abs(n - key) > _REACH]
    return np.concatenate((size[far], near[~np.isnan(near)]))


def _misses(path: KeyPath, keys: Ints, left_out: Ints, seen_from: Ints) -> Floats:
    """(N,3) from each key to its arc, which runs past the key that is left out."""
    last = len(path.samples) - 1
    before = _neighbours(keys, left_out, -1, last)
    after = _neighbours(keys, left_out, 1, last)
    four = np.stack((before[1], before[0], after[0], after[1], keys), axis=-1)
    places = path.places(four, seen_from)
    arc = arcs(places[:, 0], places[:, 1], places[:, 2], places[:, 3])
    gaps = arc - places[:, 4, None]
    nearest = np.argmin(np.linalg.norm(gaps, axis=-1), axis=-1)
    return aside(gaps[np.arange(len(keys)), nearest], places[:, 2] - places[:, 1])


def aside(gaps: Floats, chords: Floats) -> Floats:
    """What of gaps (N,3) is square to chords (N,3), where these are longer: a key that goes too far
    along its way, or not far enough, is an overshoot or other spacing."""
    longer = np.linalg.norm(chords, axis=-1) > np.linalg.norm(gaps, axis=-1)
    way = chords / np.maximum(np.linalg.norm(chords, axis=-1, keepdims=True), 1e-12)
    along = np.sum(gaps * way, axis=-1, keepdims=True) * way
    return np.where(longer[:, None], gaps - along, gaps)


def _neighbours(keys: Ints, left_out: Ints, way: int, last: int) -> tuple[Ints, Ints]:
    """The nearest and second nearest key on one side that are not left out; at an end, the last."""
    nearest = keys + way
    nearest = np.where(nearest == left_out, nearest + way, nearest)
    second = nearest + way
    second = np.where(second == left_out, second + way, second)
    clip = np.clip(nearest, 0, last)
    inside = (second >= 0) & (second <= last)
    return clip, np.where(inside, second, clip)


def arcs(before: Floats, start: Floats, end: Floats, after: Floats) -> Floats:
    """(N,S,3) points between `start` and `end` of a centripetal Catmull-Rom curve through four
    points (N,3) each; where two of them are one, the arc begins or ends there."""
    steps = [
        np.sqrt(np.linalg.norm(b - a, axis=-1))
        for a, b in ((before, start), (start, end), (end, after))
    ]
    first, middle, last = (np.maximum(each, 1e-9)[:, None] for each in steps)
    chord = (end - start) / middle
    into = np.where(steps[0][:, None] > 1e-6, (start - before) / first, chord)
    out = np.where(steps[2][:, None] > 1e-6, (after - end) / last, chord)
    leaves = (into * middle + chord * first) / (first + middle)
    leaves = np.where(steps[0][:, None] > 1e-6, leaves, chord)
    enters = (chord * last + out * middle) / (middle + last)
    enters = np.where(steps[2][:, None] > 1e-6, enters, chord)
    u = np.linspace(0.0, 1.0, _STEPS)[None, :, None]
    a, b = start[:, None], end[:, None]
    m, n = (middle * leaves)[:, None], (middle * enters)[:, None]
    return np.asarray(
        (2 * u**3 - 3 * u**2 + 1) * a
        + (u**3 - 2 * u**2 + u) * m
        + (3 * u**2 - 2 * u**3) * b
        + (u**3 - u**2) * n
    )
