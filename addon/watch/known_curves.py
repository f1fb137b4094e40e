# SPDX-License-Identifier: GPL-3.0-or-later
"""Curves of which nothing has changed: their keys are not read again, and they stay the very
objects that they were, as what is worked out of a curve is found by which object it is."""

import marshal
from collections import Counter
from collections.abc import Sequence
from dataclasses import fields, replace
from typing import Any

import bpy

from ...analysis import Clip
from ...analysis.curves import Curve
from ..sampling.curves import Fields
from ..sampling.key_fields import NAMES, key_fields
from ..sampling.key_numbers import Keys
from .values import Values

_FIELDS = tuple(each.name for each in fields(Curve))


def known_fields(
    rig: bpy.types.Object, keys: Keys, values: Values, before: Values, curves: Sequence[Curve]
) -> Fields:
    """`key_fields`, which tells of the rig's own action what is known of it.

    keys, values  what plays now; before, curves  what played, and what was read of it
    """
    data = rig.animation_data
    number = 0 if data is None or data.action is None else data.action.session_uid
    columns, others = values.columns.get(number, {}), before.columns.get(number, {})
    if len(columns) != len(keys.curves.get(number, ())):
        return key_fields  # two curves of one name, of which one would be taken for the other
    named = Counter((name.path, name.array_index) for name in columns)
    still = {
        (name.path, name.array_index)
        for name, column in columns.items()
        if name in others and others[name].number == column.number
    }
    read = {(each.data_path, each.index): each for each in curves if _is_of_action(each)}
    known = {each: read[each] for each in still & read.keys() if named[each] == 1}

    def told(fcurve: Any) -> dict[str, Any]:
        curve = known.get((fcurve.data_path, fcurve.array_index))
        if curve is None or fcurve.id_data.session_uid != number:
            return key_fields(fcurve)
        return {name: getattr(curve, name) for name in NAMES}

    return told


def _is_of_action(curve: Curve) -> bool:
    """Whether it is of the rig's own action, and of no strip and nothing that moves the rig."""
    return curve.strip is None and not curve.owner


def with_same_curves(clip: Clip, known: Sequence[Curve]) -> Clip:
    """The clip with the very curves that are known wherever its own hold the same bits: what is
    worked out of those is found by who they are."""
    at = {_place(each): each for each in known}
    curves = tuple(
        at[_place(each)] if _place(each) in at and _are_same(each, at[_place(each)]) else each
        for each in clip.meta.curves
    )
    return replace(clip, meta=replace(clip.meta, curves=curves))


def _place(curve: Curve) -> tuple[Any, ...]:
    return curve.owner, curve.strip, curve.data_path, curve.index


def _are_same(one: Curve, other: Curve) -> bool:
    """Whether two curves hold the same bits, in plain values: `marshal` tells 0 from -0."""
    pairs = ((getattr(one, name), getattr(other, name)) for name in _FIELDS)
    return all(a is b or marshal.dumps(a, 2) == marshal.dumps(b, 2) for a, b in pairs)
