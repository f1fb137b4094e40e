# SPDX-License-Identifier: GPL-3.0-or-later
"""The fault of a switch: it was blended over eight frames, and comes on in one."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from typing import TYPE_CHECKING

import bpy
import numpy as np

from demo_scenes.captured.fcurves import ensure_fcurve, write_keys

from .curves import GroupName, drop_curve
from .kinds import PLANTED, SHIFT, TURN, Switch, switches
from .order import turned_round
from .takes import Take
from .watch import Watch
from .ways import way

if TYPE_CHECKING:
    from .plant import Planned

BLEND = 8  # frames
ROUNDS = 7
CLOSE = 0.05
ENDS = 3


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
        strength = Strength(take.rig, switch, way(rng, "location", (0, 1, 2)))
        value, size = _grown(take.rig, watch, strength, at, wanted)
        _forget(take.rig, switch)
        if size > 0.0:
            blended = partial(key_switch, take.rig, switch, at, at + BLEND, value)
            at_once = partial(key_switch, take.rig, switch, at, at + 1, value)
            name = GroupName(switch.control, switch.prop)
            note = switch.carries or "property"
            return Planned(
                "influence", name, at + 1.0, size, at_once, wanted, lay=blended, note=note
            )
        strength.remove()
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
    return [each for each in ("head_follow", "neck_follow") if each in bone]


class Strength:
    """How far a switch carries its control: a property by its value, a constraint by its own."""

    def __init__(self, rig: bpy.types.Object, switch: Switch, along: np.ndarray) -> None:
        self.switch, self._along, self._made = switch, along, None
        self._bone = rig.pose.bones[switch.control]
        if switch.carries is not None:
            self._made = self._bone.constraints.new("TRANSFORM")
            self._made.name, self._made.influence = PLANTED, switch.start
            # With nothing to map from it adds a fixed way, whatever the target does.
            self._made.target, self._made.subtarget = rig, rig.pose.bones[0].name
            self._made.map_to = "LOCATION" if switch.carries == SHIFT else "ROTATION"
            self._made.owner_space = "WORLD" if switch.carries == SHIFT else "LOCAL"

    @property
    def first(self) -> float:
        """An amount to begin with: a share, metres, or radians."""
        return {None: 0.6, SHIFT: 0.04, TURN: 0.2}[self.switch.carries]

    @property
    def bounds(self) -> tuple[float, float]:
        """Amounts that somebody may key: not a hundredth of a switch."""
        return {None: (0.3, 1.0), SHIFT: (0.005, 0.3), TURN: (0.02, 1.2)}[self.switch.carries]

    def value(self, amount: float) -> float:
        """Set the constraint to an amount; returns the value to be keyed."""
        if self._made is None:
            return self.switch.start + self.switch.sign * amount
        rotation = "" if self.switch.carries == SHIFT else "_rot"
        for axis, share in zip("xyz", self._along, strict=True):
            for end in ("min", "max"):
                setattr(self._made, f"to_{end}_{axis}{rotation}", float(share * amount))
        return self.switch.start + self.switch.sign

    def remove(self) -> None:
        """Take back what was made."""
        if self._made is not None:
            self._bone.constraints.remove(self._made)


def _forget(rig: bpy.types.Object, switch: Switch) -> None:
    """Take the keys back, so that the next fault is measured by itself.

    Without its curve a number stays what it was animated to last, until it is set.
    """
    drop_curve(rig, GroupName(switch.control, switch.prop).path)
    bone = rig.pose.bones[switch.control]
    if switch.carries is None:
        bone[switch.prop[2:-2]] = switch.start
    else:
        bone.constraints[PLANTED].influence = switch.start
    rig.update_tag()


def _grown(
    rig: bpy.types.Object, watch: Watch, strength: Strength, at: int, wanted: float | None
) -> tuple[float, float]:
    """The value, and the size that it gives; (0, 0) where none gives what is wanted."""
    frames, amount = range(at + 1, at + BLEND), strength.first
    low, high = strength.bounds
    for _ in range(ROUNDS):
        value = strength.value(amount)
        key_switch(rig, strength.switch, at, at + BLEND, value)
        clean = watch.ends(frames)
        key_switch(rig, strength.switch, at, at + 1, value)
        size = float(np.linalg.norm(watch.ends(frames) - clean, axis=-1).max())
        if wanted and size > 0.0 and abs(size / wanted - 1.0) < CLOSE:
            return value, size
        if size < 1e-5:
            break
        amount *= float(np.clip((wanted or size) / size, 0.2, 4.0))
        if not low <= amount <= high:
            break
    return 0.0, 0.0
