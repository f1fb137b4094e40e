# SPDX-License-Identifier: GPL-3.0-or-later
"""What the curves of all actions that play are worth on each frame of a range, and where two such
tables differ, bit by bit."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import bpy
import numpy as np

from ..sampling.curve_numbers import all_fcurves
from ..sampling.key_numbers import Keys


class Name(NamedTuple):
    """A curve of an action: the number of its slot, its path and index, and whether it plays."""

    slot: int
    path: str
    array_index: int
    plays: bool


@dataclass(frozen=True, eq=False)
class Column:
    """number  tells of a curve's keys; values (T,) what it is worth on each frame"""

    number: int
    values: Any


Columns = Mapping[Name, Column]


@dataclass(frozen=True, eq=False)
class Values:
    """numbers  by the number of each action, a number that tells of its keys
    columns  by the number of each action, its curves
    """

    frames: range
    numbers: Mapping[int, int] = field(default_factory=dict)
    columns: Mapping[int, Columns] = field(default_factory=dict)


def values_of(keys: Keys, frames: range, before: Values | None = None) -> Values:
    """What the actions that play are worth; only curves with other keys than before are evaluated
    anew.

    keys  what tells of them, as they are now
    """
    numbers = keys.actions
    known = before if before is not None and before.frames == frames else Values(frames)
    columns: dict[int, Columns] = {}
    for action in bpy.data.actions:
        number = action.session_uid
        if number not in numbers:
            continue
        if known.numbers.get(number) == numbers[number]:
            columns[number] = known.columns[number]
        else:
            told = keys.curves[number]
            columns[number] = _columns(action, told, frames, known.columns.get(number, {}))
    return Values(frames, dict(numbers), columns)


def name_of(slot: int, fcurve: Any) -> Name:
    """What tells a curve of an action from its others."""
    group = fcurve.group
    muted = fcurve.mute or (group is not None and group.mute)
    return Name(slot, fcurve.data_path, fcurve.array_index, not (muted or fcurve.is_empty))


def _columns(
    action: bpy.types.Action, numbers: Sequence[int], frames: range, known: Columns
) -> Columns:
    found: dict[Name, Column] = {}
    for (slot, fcurve), number in zip(all_fcurves(action), numbers, strict=True):
        name = name_of(slot, fcurve)
        column = known.get(name)
        if column is None or column.number != number:
            worth = [fcurve.evaluate(frame) for frame in frames] if name.plays else []
            column = Column(number, np.array(worth, dtype=np.float64))
        found[name] = column
    return found


def changed_samples(before: Values, now: Values) -> Any | None:
    """(T,) on which samples any curve is worth something else, to the bit.

    None where that is all of them: curves have come or gone, or play no more.
    """
    changed = np.zeros(len(now.frames), dtype=bool)
    if before.frames != now.frames or before.columns.keys() != now.columns.keys():
        return None
    for number, columns in now.columns.items():
        others = before.columns[number]
        if columns is others:
            continue
        if columns.keys() != others.keys():
            return None
        for name, column in columns.items():
            if name.plays and column is not others[name]:
                changed |= column.values.view(np.int64) != others[name].values.view(np.int64)
    return changed


def changed_actions(before: Values, now: Values) -> set[int]:
    """The numbers of the actions whose keys are others."""
    return {each for each, told in now.numbers.items() if before.numbers.get(each) != told}
