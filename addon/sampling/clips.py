# SPDX-License-Identifier: GPL-3.0-or-later
"""From the arrays that were read to a clip: metres, Z up, one joint a part."""

from collections.abc import Sequence
from types import MappingProxyType
from typing import Any

import bpy
import numpy as np

from ...analysis import Clip, Follow, Meta, PlumblineError, Prop, notices
from ...analysis import quaternions as quat
from ...analysis.passes.keyed import TIME_STRETCH
from .cameras import CameraPlan, unread_cameras
from .curves import unread_strips
from .cycles import plays_as_cycle
from .events import declared_events
from .masses import mass_of, unread_masses
from .props import flat_sides, is_fixed, long_ends
from .reader import RigPlan, RigReader
from .scene_facts import frames_per_second, metres_per_unit, time_stretch
from .supports import SupportReader
from .told_parts import all_taken_away, unread_parts
from .unread_marks import unread_marks


def make_clip(
    scene: bpy.types.Scene,
    reader: RigReader,
    cameras: CameraPlan | None,
    views: Any,
    supports: SupportReader,
    frames: range,
    resting: Sequence[str] = (),
) -> Clip:
    """Arrays as read, in metres: joints of the figure, then one for each object or vertex.

    `resting` names handlers that did not run; they are told in meta.extra["resting_handlers"].
    """
    plan, unit = reader.plan, metres_per_unit(scene)
    names = _joint_names(plan)
    posed, controls = placed_matrices(reader, unit)
    _refuse_broken(plan, frames, names, posed)
    _refuse_broken(plan, frames, [name for name, _index in plan.controls], controls)
    rest = _rest(reader)
    ends = _ends(reader)
    turns = quat.from_matrices(posed[0])
    tips = _tips(plan, names, turns, ends) + _edges(reader, names, turns)
    return Clip(
        frames=np.arange(frames[0], frames[-1] + 1, dtype=np.float64),
        fps=frames_per_second(scene),
        joints=names,
        parents=_parents(plan),
        positions=posed[:, :, :3, 3],
        rotations=quat.continuous(quat.from_matrices(posed)),
        rest_positions=rest[:, :3, 3] * unit,
        rest_rotations=quat.from_matrices(rest),
        lengths=_lengths(reader, ends) * unit,
        points=tuple(name for name, _joint, _offset in tips),
        point_joint=np.array([joint for _name, joint, _offset in tips], dtype=np.int64),
        point_offset=np.array([offset for _n, _j, offset in tips]).reshape(-1, 3) * unit,
        camera_pose=None if cameras is None else _metres(views[:, 0], unit),
        camera_projection=None if cameras is None else _of_metres(views[:, 1], unit),
        camera_cut=None if cameras is None else cameras.cuts,
        supports=supports.matrices(unit, plan.rig),
        channels=tuple(channel.name for channel in plan.channels),
        channel_values=reader.channels,
        control_matrices=controls,
        meta=_meta(scene, plan, names, supports, frames, resting, cameras),
    )


def placed_matrices(reader: RigReader, unit: float) -> tuple[Any, Any]:
    """Joints (T,J,4,4) and controls (T,C,4,4) in the world, `unit` metres a Blender unit.

    Where a transform holds no numbers, neither do they.
    """
    with np.errstate(invalid="ignore", over="ignore"):
        world = reader.world[:, None]
        posed = np.concatenate((world @ reader.bones, reader.props, reader.added), axis=1)
        controls = world @ reader.controls
        posed[..., :3, 3] *= unit
        controls[..., :3, 3] *= unit
    return posed, controls


def _meta(
    scene: bpy.types.Scene,
    plan: RigPlan,
    names: tuple[str, ...],
    supports: SupportReader,
    frames: range,
    resting: Sequence[str],
    cameras: CameraPlan | None,
) -> Meta:
    count, stretch = len(plan.skeleton.joints), time_stretch(scene)
    return Meta(
        name=plan.name,
        roles=plan.skeleton.roles,
        props=tuple(
            Prop(
                name=prop.item.name,
                joint=names[count + n],
                mass_kg=mass_of(prop.item),
                held_by=prop.held_by,
                fixed=is_fixed(prop.item),
            )
            for n, prop in enumerate(() if plan.is_plain else plan.props)
        ),
        follow=_follow(plan, names),
        events=tuple(declared_events(scene, plan.rig)),
        cycle=plays_as_cycle(
            plan.rig, frames[0], frames[-1], fps=frames_per_second(scene), stretch=stretch
        ),
        curves=plan.curves,
        controls=tuple(name for name, _index in plan.controls),
        targets=MappingProxyType(dict(plan.targets)),
        supports=supports.names(plan.rig),
        extra=MappingProxyType(
            {
                key: list(told)
                for key, told in (
                    ("resting_handlers", resting),
                    (TIME_STRETCH, () if stretch == 1.0 else (stretch,)),
                    ("not_followed", plan.lost),
                    (notices.UNREAD_STRIPS, unread_strips(plan.rig)),
                    (notices.UNREAD_EVENTS, unread_marks(scene, plan.rig)),
                    (notices.UNREAD_MASSES, unread_masses(prop.item for prop in plan.props)),
                    (notices.UNREAD_CAMERAS, unread_cameras(cameras.cameras if cameras else ())),
                    (notices.UNREAD_PARTS, () if plan.is_plain else _odd_parts(scene, plan)),
                )
                if told
            }
        ),
    )


def _odd_parts(scene: bpy.types.Scene, plan: RigPlan) -> list[str]:
    return [*unread_parts(scene, plan.rig), *all_taken_away(scene, plan.rig, plan.skeleton.roles)]


def _follow(plan: RigPlan, names: Sequence[str]) -> tuple[Follow, ...]:
    """What the user asked for: bones and objects as they are, vertices as points."""
    last = names[len(names) - len(plan.added) :]
    return (
        *(Follow(name=bone, joint=bone) for bone in plan.bones),
        *(
            Follow(name=joint, joint=joint, point=joint if each.box is None else None)
            for joint, each in zip(last, plan.added, strict=True)
        ),
    )


def _refuse_broken(plan: RigPlan, frames: range, names: Sequence[str], matrices: Any) -> None:
    """Raise PlumblineError where one of the named matrices (T,N,4,4) holds no numbers."""
    bad = ~np.isfinite(matrices).all(axis=(2, 3))
    if bad.any():
        frame, which = np.argwhere(bad)[0]
        raise PlumblineError(
            f"{plan.name!r} has no position for {names[which]!r} at frame {frames[frame]} (a "
            "transform that is no number), expected a pose on every frame: mend the constraint "
            "or driver that moves it."
        )


def _joint_names(plan: RigPlan) -> tuple[str, ...]:
    """Bones by their names; what else has a name that is taken gets a mark."""
    names = list(plan.skeleton.joints)
    for name in (
        *(prop.item.name for prop in plan.props),
        *(each.wanted.name for each in plan.added),
    ):
        while name in names:
            name += " (object)"
        names.append(name)
    return tuple(names)


def _parents(plan: RigPlan) -> Any:
    roles = plan.skeleton.roles
    joints = plan.skeleton.joints
    hold = [joints.index(roles[p.held_by][0]) if p.held_by else -1 for p in plan.props]
    hang = [each.above for each in plan.added]
    return np.array([*plan.skeleton.parents, *hold, *hang], dtype=np.int64)


def _rest(reader: RigReader) -> Any:
    """(J,4,4) the rest pose, standing where the rig stands on the first frame."""
    bones = reader.world[0] @ reader.plan.skeleton.rest
    return np.concatenate((bones, reader.props[0], reader.added[0]), axis=0)


def _ends(reader: RigReader) -> list[Any]:
    """(2,3) both ends of each object as it is scaled on the first frame; a vertex has none."""
    props = [(each.box, reader.props[0, n]) for n, each in enumerate(reader.plan.props)]
    added = [(each.box, reader.added[0, n]) for n, each in enumerate(reader.plan.added)]
    return [None if box is None else long_ends(box, place) for box, place in props + added]


def _lengths(reader: RigReader, ends: list[Any]) -> Any:
    """(J,) along each bone, and each object's longest side, as scaled on the first frame."""
    skeleton = reader.plan.skeleton
    along = skeleton.rest[:, :3, 1] @ reader.world[0, :3, :3].T
    bones = np.linalg.norm(along, axis=1) * skeleton.lengths
    objects = [0.0 if two is None else np.linalg.norm(two[1] - two[0]) for two in ends]
    return np.array([*bones, *objects])


def _tips(
    plan: RigPlan, names: Sequence[str], rotations: Any, ends: list[Any]
) -> list[tuple[str, int, Any]]:
    """Named points: the two ends of each object, in the axes of its rotation; a vertex itself."""
    count = len(plan.skeleton.joints)
    found = []
    for joint, two in enumerate(ends, start=count):
        if two is None:
            found.append((names[joint], joint, np.zeros(3)))
            continue
        offsets = quat.rotate(quat.conjugate(rotations[joint]), two)
        for what, offset in zip(("base", "tip"), offsets, strict=True):
            found.append((f"{names[joint]} {what}", joint, offset))
    return found


def _edges(reader: RigReader, names: Sequence[str], rotations: Any) -> list[tuple[str, int, Any]]:
    """Both edges of each flat object that the rig carries, in the axes of its rotation."""
    plan = reader.plan
    count = len(plan.skeleton.joints)
    found = []
    for n, each in enumerate(() if plan.is_plain else plan.props):
        sides = flat_sides(each.box, reader.props[0, n])
        if sides is not None:
            offsets = quat.rotate(quat.conjugate(rotations[count + n]), sides)
            for what, offset in zip(("edge", "back"), offsets, strict=True):
                found.append((f"{names[count + n]} {what}", count + n, offset))
    return found


def _metres(matrices: Any, unit: float) -> Any:
    scaled = np.array(matrices, dtype=np.float64)
    scaled[..., :3, 3] *= unit
    return scaled


def _of_metres(projections: Any, unit: float) -> Any:
    """Projections of points in metres: the same picture, times a factor that cancels out."""
    scaled = np.array(projections, dtype=np.float64)
    scaled[..., :, 3] *= unit
    return scaled
