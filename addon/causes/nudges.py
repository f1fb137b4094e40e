# SPDX-License-Identifier: GPL-3.0-or-later
"""Which joints truly follow a control, and how far: a copy of the rig on which it is nudged.

A rig's constraints and drivers tell what a control may reach, not whether it does: an influence may
be zero, a chain may end before. So each control is shifted and turned a little on one middle frame.
"""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

import bpy
import numpy as np

from ...analysis import Clip, PlumblineError
from ...analysis.curves import Curve
from ..sampling.reader import RigPlan
from ..sampling.scene_facts import metres_per_unit
from .nudge_answers import Nudged
from .nudged_channels import Nudge, nudge_of
from .rig_copy import RigCopy, rig_copy

MOST_CONTROLS = 64

# Joint -> (shift, turn), and control -> that.
Shares = Mapping[str, tuple[float, float]]
Carried = Mapping[str, Shares]


def carried_by(scene: bpy.types.Scene, plan: RigPlan, clip: Clip) -> Carried | None:
    """What each keyed control carries; None where none is keyed, or a copy cannot stand in for
    the rig.

    Controls that move bones by parenting alone carry all of them and are not nudged. The others
    are nudged on the clip's two middle frames (`middle_of`), up to MOST_CONTROLS.
    """
    controls = nudged_controls(plan)
    if not controls or plan.reach is None:
        return None
    reached, hanging = {name: plan.reach.of(name) for name in controls}, _Hanging(plan.rig)
    plain = [name for name in controls if hanging.by_parenting_alone(name, reached[name])]
    carried: dict[str, Shares] = {
        name: {each: (1.0, 1.0) for each in plan.skeleton.joints if each in reached[name]}
        for name in plain
    }
    try:
        carried |= _measured(scene, plan, clip, [name for name in controls if name not in plain])
    except PlumblineError:
        return None
    return carried


def with_carried(clip: Clip, carried: Carried | None) -> Clip:
    """The clip with `meta.carried`, and with curves that drive only what follows their control.

    Where that is None, the clip says what the rig's set-up does.
    """
    if carried is None:
        return clip
    told = MappingProxyType({name: MappingProxyType(dict(each)) for name, each in carried.items()})
    curves = clip.meta.curves
    if not _switches(clip):
        curves = tuple(_cut(curve, carried) for curve in curves)
    return replace(clip, meta=replace(clip.meta, curves=curves, carried=told))


def nudged_controls(plan: RigPlan) -> list[str]:
    """Keyed controls that are bones and may move a joint, in the order of their curves."""
    bones = {name for name, index in plan.controls if index is not None}
    keyed = {c.control: None for c in plan.curves if c.drives and c.control in bones}
    return list(keyed)[:MOST_CONTROLS]


def middle_of(count: int) -> tuple[int, int]:
    """On which of so many samples controls are nudged, and the one after it."""
    return (count - 1) // 2, (count - 1) // 2 + 1


class _Hanging:
    """What hangs on a bone. Blender's own lists look through all bones for each bone anew."""

    def __init__(self, rig: bpy.types.Object) -> None:
        self._children: dict[str, list[bpy.types.PoseBone]] = {}
        self._bones = rig.pose.bones
        for bone in rig.pose.bones:
            if bone.parent is not None:
                self._children.setdefault(bone.parent.name, []).append(bone)

    def by_parenting_alone(self, control: str, reached: set[str]) -> bool:
        """Whether a control moves what hangs on it, all of it alike, and nothing else."""
        hanging = [self._bones[control]]
        for bone in hanging:
            hanging += self._children.get(bone.name, ())
        if {bone.name for bone in hanging} != reached:
            return False
        inherits = all(bone.bone.use_inherit_rotation for bone in hanging[1:])
        return inherits and all(each.mute for bone in hanging for each in bone.constraints)


def _switches(clip: Clip) -> bool:
    """Whether a switch or an influence is played: then one frame does not tell what may follow."""
    if clip.channel_values is None:
        return False
    moving = np.ptp(clip.channel_values, axis=0) > 0.0
    moved = (
        name.rpartition("|")[2] for name, moves in zip(clip.channels, moving, strict=True) if moves
    )
    return any(not name.startswith(("location.", "rotation_", "scale.")) for name in moved)


def _cut(curve: Curve, carried: Mapping[str, Shares]) -> Curve:
    """A curve that shifts or turns drives only what answered to that."""
    if curve.control not in carried or not curve.channel.startswith(("location.", "rotation_")):
        return curve
    return replace(curve, drives=tuple(j for j in curve.drives if j in carried[curve.control]))


def _measured(
    scene: bpy.types.Scene, plan: RigPlan, clip: Clip, controls: list[str]
) -> dict[str, Shares]:
    """Control -> joint -> shares."""
    if not controls:
        return {}
    first, second = middle_of(len(clip.frames))
    pair = clip.cut(clip.frames[first], clip.frames[second])
    unit = metres_per_unit(scene)
    nudges = {name: nudge_of(plan, pair, name, unit) for name in controls}
    added = {each.name: (each, value) for nudge in nudges.values() for each, value in nudge.unkeyed}
    values = np.zeros((2, 0)) if pair.channel_values is None else pair.channel_values
    still = np.tile([value for _channel, value in added.values()], (2, 1))
    pair = replace(
        pair,
        channels=(*pair.channels, *added),
        channel_values=np.concatenate((values, still), axis=1),
    )
    channels = (*plan.channels, *(channel for channel, _value in added.values()))
    with rig_copy(scene, replace(plan, channels=channels), pair) as copy:
        found = _shares(copy, plan, nudges, 1.0)
        # A foot that rolls over heel and toe may go only one way from where it stands.
        silent = {name: nudges[name] for name, shares in found.items() if not shares}
        return {**found, **_shares(copy, plan, silent, -1.0)}


def _shares(
    copy: RigCopy, plan: RigPlan, nudges: Mapping[str, Nudge], way: float
) -> dict[str, Shares]:
    """Control -> joint -> shares, of those joints that answer."""
    place = {name: at for at, (name, _bone) in enumerate(plan.controls)}
    asked = [(name, step) for name, nudge in nudges.items() for step in nudge.steps]
    found: dict[str, dict[str, tuple[float, float]]] = {name: {} for name in nudges}
    if not asked:
        return {**found}
    answers = [copy.pose(step.trial(way)) for _name, step in asked]
    nudged = Nudged(copy.begun, answers, [place[name] for name, _step in asked])
    count = len(plan.skeleton.joints)
    lengths = np.ones(count) if copy.clip.lengths is None else copy.clip.lengths[:count]
    follow = nudged.follow(lengths)
    for name in nudges:
        rows = [n for n, (asked_of, _step) in enumerate(asked) if asked_of == name]
        shift, turn = np.zeros(count), np.zeros(count)
        for n in rows:
            if asked[n][1].shifts:
                shift = nudged.shift_shares[n]
            else:
                turn = nudged.turn_shares[n]
        found[name] = {
            joint: (round(float(shift[j]), 4), round(float(turn[j]), 4))
            for j, joint in enumerate(plan.skeleton.joints)
            if follow[rows, j].any()
        }
    return {**found}
