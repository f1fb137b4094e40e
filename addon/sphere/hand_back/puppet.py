# SPDX-License-Identifier: GPL-3.0-or-later
"""A copy of the rig that plays what the rig plays, on which a hand back is tried.

It stands alone in a temporary scene; all of it is gone when the block ends, and the rig itself is
not touched. What is read of it is what Blender evaluates, through parents, constraints and drivers.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any

import bpy
import numpy as np

from ....analysis import quaternions as quat
from ...causes.copies import copied_closure, plain_copy, reads_original
from ...sampling.clips import placed_matrices
from ...sampling.reader import RigPlan, RigReader
from ...sampling.scene_facts import metres_per_unit, time_stretch
from ...sampling.stages import Stage, temporary_stage
from ..facts import BonePoint
from .control import Control, turning


@dataclass(frozen=True, eq=False)
class Look:
    """How the copy stood on N samples; lengths in metres.

    location (N,3), turned (N,3 or 4)   the control's own channels, as they were evaluated
    head (N,3), turn (N,4)              where the control is in the world, and how it is turned
    point (N,3), point_turn (N,4)       the same of what the ball is on
    joints (N,J,3)                      the figure's
    """

    location: Any
    turned: Any
    head: Any
    turn: Any
    point: Any
    point_turn: Any
    joints: Any


class Puppet:
    """The copy, ready to be looked at."""

    def __init__(
        self, scene: bpy.types.Scene, plan: RigPlan, copy: bpy.types.Object, stage: Stage
    ) -> None:
        self.copy = copy
        props = tuple(replace(each, item=copy) for each in plan.props) if plan.is_plain else ()
        self._plan = replace(plan, rig=copy, channels=(), props=props, added=(), controls=())
        self._stage = stage
        self._unit, self._stretch = metres_per_unit(scene), time_stretch(scene)
        self.depsgraph = stage.go(scene.frame_start)

    def own_action(self) -> None:
        """Let the copy play a copy of its action, which may then be changed."""
        data = self.copy.animation_data
        if data is None or data.action is None:
            return
        slot = getattr(data, "action_slot", None)
        data.action = data.action.copy()
        if slot is not None:
            (data.action_slot,) = (
                each for each in data.action.slots if each.identifier == slot.identifier
            )

    def look(self, times: Any, control: Control) -> Look:
        """Step to times (N,), frames of animation, and read."""
        reader = RigReader(self._plan, len(times))
        channel = turning(control.of(self.copy))
        width = 3 if channel == "rotation_euler" else 4
        location, turned = np.zeros((len(times), 3)), np.zeros((len(times), width))
        controls, points = np.zeros((len(times), 4, 4)), np.zeros((len(times), 4, 4))
        for at, time in enumerate(times):
            depsgraph = self._go(float(time))
            reader.read(at, depsgraph, {})
            seen = self.copy.evaluated_get(depsgraph)
            holder = control.of(seen)
            location[at], turned[at] = holder.location, getattr(holder, channel)
            controls[at] = _placed(seen, control.bone)
            points[at] = _placed(seen, control.turns)
            points[at, :3, 3] = sum(each.share * _point(seen, each) for each in control.points)
        posed, _ = placed_matrices(reader, self._unit)
        return Look(
            location=location,
            turned=turned,
            head=controls[:, :3, 3] * self._unit,
            turn=quat.from_matrices(controls),
            point=points[:, :3, 3] * self._unit,
            point_turn=quat.from_matrices(points),
            joints=posed[..., :3, 3],
        )

    def _go(self, time: float) -> bpy.types.Depsgraph:
        frame = time * self._stretch
        whole = round(frame) if abs(frame - round(frame)) < 1e-4 else int(np.floor(frame))
        return self._stage.go(whole, max(frame - whole, 0.0))


@contextmanager
def puppet(scene: bpy.types.Scene, plan: RigPlan, *, copied: bool) -> Iterator[Puppet]:
    """A copy of the plan's rig, alone or among copies of what it depends on.

    All of it has to happen within one event. Raises PlumblineError as `causes.copies` does.
    """
    rig = plan.rig
    with _cleared(), plain_copy(rig) as copy, _staged(scene, plan, copy, copied) as found:
        if not reads_original(found.depsgraph, rig):
            found.own_action()
            yield found
            return
    with _cleared(), copied_closure(rig) as copy, _staged(scene, plan, copy, copied) as found:
        found.own_action()
        yield found


@contextmanager
def _cleared() -> Iterator[None]:
    """Take away the actions that were made meanwhile: those that the copy played."""
    before = set(bpy.data.actions)
    try:
        yield
    finally:
        bpy.data.batch_remove([each for each in bpy.data.actions if each not in before])


@contextmanager
def _staged(
    scene: bpy.types.Scene, plan: RigPlan, copy: bpy.types.Object, copied: bool
) -> Iterator[Puppet]:
    copy.hide_viewport = False
    shown, placed = ((), (copy,)) if plan.is_plain else ((copy,), ())
    with temporary_stage(scene, shown, placed=placed, copied=copied) as stage:
        yield Puppet(scene, plan, copy, stage)


def _placed(seen: bpy.types.Object, bone: str) -> Any:
    world = np.array(seen.matrix_world, dtype=np.float64)
    return world @ np.array(seen.pose.bones[bone].matrix) if bone else world


def _point(seen: bpy.types.Object, point: BonePoint) -> Any:
    """(3,) a point of a bone in the world, Blender units."""
    if not point.bone:
        return np.array(seen.matrix_world.translation, dtype=np.float64)
    bone = seen.pose.bones[point.bone]
    world = np.array(seen.matrix_world, dtype=np.float64)
    return world[:3, :3] @ np.array(bone.head.lerp(bone.tail, point.at)) + world[:3, 3]
