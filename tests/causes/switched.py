# SPDX-License-Identifier: GPL-3.0-or-later
"""The fault of a switch: it was blended over ten frames, and comes on in one."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from typing import TYPE_CHECKING

import bpy
import numpy as np

from demo_scenes.captured.fcurves import ensure_fcurve, write_keys

from .curves import GroupName, drop_curve
from .kinds import PLANTED, Switch, switches
from .order import turned_round
from .takes import Take
from .watch import Watch

if TYPE_CHECKING:
    from .plant import Planned

BLEND = 10  # frames
ROUNDS = 7
CLOSE = 0.05
ENDS = 3
MOST = 1.0


def find_switched(
    take: Take,
    watch: Watch,
    rng: np.random.Generator,
    wanted: float | None,
    *,
    number: int,
    near: tuple[float, float] | None,
    allowed: Callable[[str], bool],
) -> "Planned | None":
    """A switch and a frame where it moves something as far as wanted; None where none does."""
    from .plant import Planned

    low, high = near or (take.first, take.last)
    low, high = max(low, take.first + ENDS + 1), min(high, take.last - BLEND - 1)
    found = {f"{each.control}.{each.prop}": each for each in switches(take.base)}
    for name in turned_round(sorted(found), take.base, "influence", number):
        switch = found[name]
        if not allowed(switch.control):
            continue
        if low > high:
            return None
        at = int(rng.integers(int(low), int(high) + 1)) - 1
        made = _make(take.rig, switch)
        value, size = _grown(take.rig, watch, switch, at, wanted)
        _forget(take.rig, switch)
        if size > 0.0:
            blended = partial(key_switch, take.rig, switch, at, at + BLEND, value)
            at_once = partial(key_switch, take.rig, switch, at, at + 1, value)
            name = GroupName(switch.control, switch.prop)
            note = switch.kind or "property"
            return Planned(
                "influence", name, at + 1.0, size, at_once, wanted, lay=blended, note=note
            )
        if made is not None:
            take.rig.pose.bones[switch.control].constraints.remove(made)
    return None


def key_switch(rig: bpy.types.Object, switch: Switch, at: int, on: int, value: float) -> None:
    """Key a switch from where it stands on frame `at` to `value` on frame `on`, with ease."""
    curve = ensure_fcurve(rig, GroupName(switch.control, switch.prop).path, 0)
    write_keys(curve, [at, on], [switch.start, value])


@contextmanager
def no_switches_left(rig: bpy.types.Object) -> Iterator[None]:
    """What a fault needs on the rig, beside its action, is gone after the block."""
    properties = [
        (bone, prop, bone[prop]) for bone in rig.pose.bones for prop in _switch_names(bone)
    ]
    try:
        yield
    finally:
        for bone in rig.pose.bones:
            for each in [each for each in bone.constraints if each.name == PLANTED]:
                bone.constraints.remove(each)
        for bone, prop, value in properties:
            bone[prop] = value


def _switch_names(bone: bpy.types.PoseBone) -> list[str]:
    return [each for each in ("IK_FK", "head_follow", "neck_follow") if each in bone]


def _make(rig: bpy.types.Object, switch: Switch) -> object | None:
    if switch.kind is None:
        return None
    constraint = rig.pose.bones[switch.control].constraints.new(switch.kind)
    constraint.name = PLANTED
    constraint.target, constraint.subtarget = rig, switch.target
    constraint.influence = switch.start
    return constraint


def _forget(rig: bpy.types.Object, switch: Switch) -> None:
    """Take the keys back, so that the next fault is measured by itself.

    Without its curve a number stays what it was animated to last, until it is set.
    """
    drop_curve(rig, GroupName(switch.control, switch.prop).path)
    bone = rig.pose.bones[switch.control]
    if switch.kind is None:
        bone[switch.prop[2:-2]] = switch.start
    else:
        bone.constraints[PLANTED].influence = switch.start
    rig.update_tag()


def _grown(
    rig: bpy.types.Object, watch: Watch, switch: Switch, at: int, wanted: float | None
) -> tuple[float, float]:
    """The value, and the size that it gives; (0, 0) where none gives what is wanted."""
    frames, amount = range(at + 1, at + BLEND), 0.2
    for _ in range(ROUNDS):
        value = switch.start + switch.sign * amount
        key_switch(rig, switch, at, at + BLEND, value)
        clean = watch.ends(frames)
        key_switch(rig, switch, at, at + 1, value)
        size = float(np.linalg.norm(watch.ends(frames) - clean, axis=-1).max())
        if wanted and size > 0.0 and abs(size / wanted - 1.0) < CLOSE:
            return value, size
        if size < 1e-5:
            break
        amount *= float(np.clip((wanted or size) / size, 0.2, 4.0))
        if amount > MOST:
            break
    return 0.0, 0.0
