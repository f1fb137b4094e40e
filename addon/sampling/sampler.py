# SPDX-License-Identifier: GPL-3.0-or-later
"""Samples rigs over a range: one clip a character, the scene left as it was."""

from collections.abc import Sequence
from typing import Any

import bpy
import numpy as np

from ...analysis import Clip, Meta, PlumblineError, Prop
from ...analysis import quaternions as quat
from .cameras import CameraPlan, camera_matrices, plan_cameras
from .child import sample_in_child
from .curves import plays_as_cycle
from .exactness import judge
from .reader import RigPlan, RigReader, plan_rig
from .scene_facts import checked_range, frame_range, frames_per_second
from .stages import COPIES_CLEANLY, Stage, real_stage, temporary_stage


def sample(
    scene: bpy.types.Scene,
    rigs: Sequence[bpy.types.Object],
    *,
    first: float | None = None,
    last: float | None = None,
    props: Sequence[bpy.types.Object] | None = None,
) -> list[Clip]:
    """Sample rigs on every frame of a range; by default the one that plays.

    props are objects to follow with every rig; where None, those that each rig holds. The
    camera is the one that plays, marker by marker.

    All rigs are read in one pass over the frames. Where a temporary scene would not give
    the real poses (a driver reads the scene, a rigid body moves the rig), a process that
    owns its file steps the scene itself, and a Blender with a window asks a second one.
    Raises PlumblineError in one sentence.
    """
    playing = frame_range(scene)
    first, last = checked_range(
        playing[0] if first is None else first, playing[1] if last is None else last
    )
    frames = range(first, last + 1)
    plans = [plan_rig(scene, rig, props) for rig in rigs]
    cameras = plan_cameras(scene, frames)
    objects = [plan.rig for plan in plans] + list(cameras.cameras if cameras else ())
    placed = list(dict.fromkeys(prop.item for plan in plans for prop in plan.props))
    verdict = judge(scene, objects, placed)
    temporary = not verdict.why or (verdict.copy_does and COPIES_CLEANLY)
    if not temporary and not bpy.app.background:
        if verdict.only_here:
            raise PlumblineError(
                f"{verdict.why}, expected drivers that a second Blender can run: save the file "
                "and check it headless with --allow-scripts."
            )
        return sample_in_child(scene, rigs, props, (first, last), verdict.why)
    if temporary:
        stages = temporary_stage(scene, objects, placed=placed, copied=bool(verdict.why))
    else:
        stages = real_stage(scene, objects, placed=placed, run_in_from=verdict.run_in_from)
    with stages as stage:
        return _read(scene, stage, plans, cameras, frames)


def _read(
    scene: bpy.types.Scene,
    stage: Stage,
    plans: Sequence[RigPlan],
    cameras: CameraPlan | None,
    frames: range,
) -> list[Clip]:
    readers = [RigReader(plan, len(frames)) for plan in plans]
    views = np.zeros((len(frames), 2, 4, 4))
    stage.run_in(frames[0])
    for at, frame in enumerate(frames):
        depsgraph = stage.go(frame)
        for reader in readers:
            reader.read(at, depsgraph)
        if cameras is not None:
            camera = cameras.cameras[cameras.active[at]]
            views[at] = camera_matrices(camera, depsgraph, scene)
    return [_clip(scene, reader, cameras, views, frames) for reader in readers]


def _clip(
    scene: bpy.types.Scene,
    reader: RigReader,
    cameras: CameraPlan | None,
    views: Any,
    frames: range,
) -> Clip:
    """Arrays as read, in metres: joints of the figure, then one joint for each carried object."""
    plan, unit = reader.plan, float(scene.unit_settings.scale_length)
    world = reader.world[:, None]
    posed = np.concatenate((world @ reader.bones, reader.props), axis=1)
    _refuse_broken(posed, plan, frames)
    rest = _rest(reader)
    names = _joint_names(plan)
    scale = float(np.cbrt(abs(np.linalg.det(reader.world[0, :3, :3]))))
    lengths = [*(plan.skeleton.lengths * scale), *(_length(p.ends, p.item) for p in plan.props)]
    tips = _tips(plan, reader.props)
    return Clip(
        frames=np.arange(frames[0], frames[-1] + 1, dtype=np.float64),
        fps=frames_per_second(scene),
        joints=names,
        parents=_parents(plan),
        positions=posed[:, :, :3, 3] * unit,
        rotations=quat.continuous(quat.from_matrices(posed)),
        rest_positions=rest[:, :3, 3] * unit,
        rest_rotations=quat.from_matrices(rest),
        lengths=np.array(lengths) * unit,
        points=tuple(name for name, _joint, _offset in tips),
        point_joint=np.array([joint for _name, joint, _offset in tips], dtype=np.int64),
        point_offset=np.array([offset for _n, _j, offset in tips]).reshape(-1, 3) * unit,
        camera_pose=None if cameras is None else _metres(views[:, 0], unit),
        camera_projection=None if cameras is None else views[:, 1],
        camera_cut=None if cameras is None else cameras.cuts,
        channels=tuple(name for name, _prop, _index in plan.channels),
        channel_values=reader.channels,
        control_matrices=_metres(world @ reader.controls, unit),
        meta=_meta(plan, names, frames, frames_per_second(scene)),
    )


def _meta(plan: RigPlan, names: tuple[str, ...], frames: range, fps: float) -> Meta:
    count = len(plan.skeleton.joints)
    return Meta(
        name=plan.rig.name,
        roles=plan.skeleton.roles,
        props=tuple(
            Prop(name=prop.item.name, joint=names[count + n], held_by=prop.held_by)
            for n, prop in enumerate(plan.props)
        ),
        cycle=plays_as_cycle(plan.rig, plan.curves, frames[0], frames[-1], fps=fps),
        curves=plan.curves,
        controls=tuple(name for name, _index in plan.controls),
    )


def _refuse_broken(posed: Any, plan: RigPlan, frames: range) -> None:
    bad = ~np.isfinite(posed).all(axis=(2, 3))
    if bad.any():
        frame, joint = np.argwhere(bad)[0]
        raise PlumblineError(
            f"{plan.rig.name!r} has no position for {_joint_names(plan)[joint]!r} at frame "
            f"{frames[frame]} (a transform that is no number), expected a pose on every frame: "
            "mend the constraint or driver that moves it."
        )


def _joint_names(plan: RigPlan) -> tuple[str, ...]:
    """Bones by their names; an object that shares one gets a mark that bones cannot have."""
    names = list(plan.skeleton.joints)
    for prop in plan.props:
        taken = prop.item.name in names
        names.append(f"{prop.item.name} (object)" if taken else prop.item.name)
    return tuple(names)


def _parents(plan: RigPlan) -> Any:
    roles = plan.skeleton.roles
    joints = plan.skeleton.joints
    hold = [joints.index(roles[p.held_by][0]) if p.held_by else -1 for p in plan.props]
    return np.array([*plan.skeleton.parents, *hold], dtype=np.int64)


def _rest(reader: RigReader) -> Any:
    """(J,4,4) the rest pose, standing where the rig stands on the first frame."""
    bones = reader.world[0] @ reader.plan.skeleton.rest
    return np.concatenate((bones, reader.props[0]), axis=0)


def _length(ends: Any, item: bpy.types.Object) -> float:
    return float(np.linalg.norm((ends[1] - ends[0]) * np.array(item.matrix_world.to_scale())))


def _tips(plan: RigPlan, props: Any) -> list[tuple[str, int, Any]]:
    """Named points: the two ends of each carried object, in its unscaled axes."""
    count = len(plan.skeleton.joints)
    found = []
    for n, prop in enumerate(plan.props):
        scale = np.linalg.norm(props[0, n, :3, :3], axis=0)
        for what, end in zip(("base", "tip"), prop.ends, strict=True):
            found.append((f"{prop.item.name} {what}", count + n, end * scale))
    return found


def _metres(matrices: Any, unit: float) -> Any:
    scaled = np.array(matrices, dtype=np.float64)
    scaled[..., :3, 3] *= unit
    return scaled
