# SPDX-License-Identifier: GPL-3.0-or-later
"""How far each key of a control sits off the arc that its neighbours make.

See `arc_shape` for the arc, and `arc_rounds` for keys that lie evenly.
"""

from collections.abc import Collection, Generator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .arc_paths import KeyPath, key_paths
from .arc_rounds import rounds
from .arc_shape import misses
from .basis import Basis
from .in_steps import at_once
from .memory import recalled

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

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
# On even stretches so many times what is left there is as clear as the rest (from trials).
ROUNDER = 1.9
# Where no other control is keyed, the clearest of them counts as an ordinary key.
_ALONE = 0.3
_NONE: dict[str, float] = {}


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
    even          where the keys around lie evenly: the way to the circles through them over that of
                  the next keys once this one is put there; else 0. round_miss (3,): that way.
                  Where that is clearer, `key_errors` tells miss, amount, gain and clear by it
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
    even: float
    round_miss: Floats
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
    return at_once(key_errors_in_steps(basis, groups, frames))


def key_errors_in_steps(
    basis: Basis,
    groups: Collection[tuple[str, str]] | None = None,
    frames: tuple[float, float] | None = None,
) -> Generator[None, None, list[KeyMiss]]:
    """`key_errors` with a pause after each control."""
    every: list[KeyMiss] = []
    for path in key_paths(basis):
        every += path_errors(basis, path)
        yield
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
    clearest: dict[int, dict[str, float]] = {}  # of each control, on each sample
    for miss in every:
        _raise(clearest.setdefault(miss.sample, {}), miss.control, miss.habit)
    around: dict[int, list[tuple[float, str]]] = {}  # and on those near to it, the clearest last
    for at in {each.sample for each in wanted}:
        of_pose: dict[str, float] = {}
        for sample in range(at - near, at + near + 1):
            for control, habit in clearest.get(sample, _NONE).items():
                _raise(of_pose, control, habit)
        around[at] = sorted((habit, control) for control, habit in of_pose.items())
    found = []
    for each in wanted:
        others = (habit for habit, name in reversed(around[each.sample]) if name != each.control)
        weight = (POSE_LEAST + next(others, _ALONE)) ** POSE_POWER
        found.append(_clearer(each, each.clear / weight))
    return found


def _raise(most: dict[str, float], name: str, value: float) -> None:
    most[name] = max(most.get(name, 0.0), value)


def _clearer(miss: KeyMiss, clear: float) -> KeyMiss:
    """The miss, so clear; or as the circles tell it, where these tell it more clearly."""
    told, rounder = {**vars(miss), "clear": clear}, miss.even / ROUNDER
    if rounder > clear:
        told |= {
            "miss": miss.round_miss,
            "amount": float(np.linalg.norm(miss.round_miss)),
            "gain": max(1.0 - 1.0 / miss.even, 0.0),
            "clear": rounder,
        }
    made = object.__new__(KeyMiss)  # `replace` takes ten times as long, and keys are many
    vars(made).update(told)
    return made


def path_errors(basis: Basis, path: KeyPath) -> list[KeyMiss]:
    """The inner keys of one group of channels, in order of time."""
    if len(path.samples) < 2 * _REACH + 1:
        return []
    off = recalled(basis.memory, _off, path, basis.height.scene_m)
    joint = basis.bodies[path.body].name
    return [
        KeyMiss(
            control=path.control,
            group=path.group,
            frame=frame,
            sample=sample,
            body=path.body,
            mark=path.mark,
            joint=joint,
            miss=miss,
            round_miss=round_miss,
            path=path,
            key=key,
            **dict(zip(_NUMBERS, numbers, strict=True)),
        )
        for key, frame, sample, miss, round_miss, numbers in zip(
            range(1, len(path.samples) - 1),
            path.frames[1:-1].tolist(),
            path.samples[1:-1].tolist(),
            off.miss,
            off.round_miss,
            off.numbers.tolist(),
            strict=True,
        )
    ]


# What of a `KeyMiss` is a number, in this order.
_NUMBERS = ("amount", "gain", "ratio", "habit", "usual", "even", "clear")


@dataclass(frozen=True, eq=False)
class _Off:
    """N inner keys: miss, round_miss (N,3) and numbers (N,7) of their `KeyMiss`es."""

    miss: Floats
    round_miss: Floats
    numbers: Floats


def _off(path: KeyPath, height: float) -> _Off:
    keys = np.arange(1, len(path.samples) - 1)
    miss, near, before = _misses(path, keys)
    size, floor = np.linalg.norm(miss, axis=-1), LEAST_SHARE * height
    ways, (to_circles, circles_left) = _ways(path, keys), rounds(path, keys)
    numbers = np.zeros((len(keys), len(_NUMBERS)))
    for n, key in enumerate(keys):
        others = _others(size, near[n], int(key))
        amount, greatest = float(size[key]), float(others.max())
        most = greatest + HABIT_SHARE * height
        left, worst = float(np.nanmax(near[n])), max(amount, float(before[n]))
        numbers[n] = (
            amount,
            max(1.0 - left / worst, 0.0) if worst > 0.0 else 0.0,
            amount / (floor + left),
            amount / (floor + greatest),
            float(np.median(others)),
            float(np.linalg.norm(to_circles[n])) / (floor + float(circles_left[n])),
            amount / float(np.sqrt(most * (ways[n] + WAY_SHARE * height))),
        )
    return _Off(miss[keys], to_circles, numbers)


def _ways(path: KeyPath, keys: Ints) -> Floats:
    """(N,) from each key to the nearer of its neighbours, metres."""
    places = path.places(np.stack((keys - 1, keys, keys + 1), axis=-1), keys)
    return np.asarray(np.linalg.norm(np.diff(places, axis=1), axis=-1).min(axis=1))


def _misses(path: KeyPath, keys: Ints) -> tuple[Floats, Floats, Floats]:
    """(K,3) the way of each inner key to its arc, of others none; (N,4) misses of the neighbours
    of each key once it is left out, NaN where there is none; and (N,) the largest of theirs as
    they are."""
    last = len(path.samples) - 1
    there = keys + np.array([0, *range(-_REACH, 0), *range(1, _REACH + 1)])[:, None]
    inside = (there > 0) & (there < last)
    left_out = np.broadcast_to(keys, there.shape)[inside]
    every = np.zeros((*there.shape, 3))
    every[inside] = misses(path, there[inside], left_out, left_out)
    miss = np.zeros((last + 1, 3))
    miss[keys] = every[0]
    near = np.where(inside[1:], np.linalg.norm(every[1:], axis=-1), np.nan).T
    size = np.linalg.norm(miss, axis=-1)
    before = np.where(inside[1:], size[np.clip(there[1:], 0, last)], 0.0).max(axis=0)
    return miss, np.ascontiguousarray(near), before


def _others(size: Floats, near: Floats, key: int) -> Floats:
    """Misses of all other inner keys; of those nearby as they are without the key."""
    before, after = size[1 : max(key - _REACH, 1)], size[key + _REACH + 1 : -1]
    return np.concatenate((before, after, near[~np.isnan(near)]))
