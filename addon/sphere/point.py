# SPDX-License-Identifier: GPL-3.0-or-later
"""The point of a character that a ball stands for: where it is on each frame, what moves it."""

from dataclasses import dataclass, replace
from typing import Any

import bpy
import numpy as np

from ...analysis import PlumblineError, Settings
from ...analysis import quaternions as quat
from ...analysis.basis import Basis, build_basis
from ...analysis.basis.mass_points import mass_points
from ..sampling import sample
from ..sampling.curves import object_control
from ..sampling.scene_facts import is_rig
from .choices import COM, CONTROL, PELVIS, ROOT
from .control import control_of, keyed_frames
from .facts import BonePoint

# A ball of this radius, in heights of the character, is about as wide as the hips.
RADIUS_SHARE = 0.08
NO_TURN = np.array([1.0, 0.0, 0.0, 0.0])


OBJECT = BonePoint("", 0.0, 1.0)


@dataclass(frozen=True)
class Where:
    """Which point of a rig, or of a plain object.

    what     root, pelvis, com or control; name   what it is called in a sentence
    joint    the clip's joint; empty for the centre of mass and for a rig's object
    control  the pose bone whose location moves it; empty for the object itself
    points   what it is the weighted mean of
    """

    what: str
    name: str
    joint: str
    control: str
    points: tuple[BonePoint, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class Point:
    """Where a point is over T frames.

    frames (T,), positions (T,3) metres, turns (T,4) unit quaternions with continuous signs
    keyed     scene frames on which its control has keys
    radius_m  of a ball that fits; height_m of the figure; ahead (3,) where it faces on the whole
    """

    where: Where
    frames: Any
    positions: Any
    turns: Any
    keyed: tuple[float, ...]
    radius_m: float
    height_m: float
    ahead: Any


def find_point(scene: bpy.types.Scene, rig: bpy.types.Object, on: str, bone: str = "") -> Point:
    """Sample a rig, or a plain object, and find a point of it; raises PlumblineError, one sentence.

    on     as in `choices`; of a plain object, only the object itself is a point
    bone   the active bone, for CONTROL; without one, the object itself is meant
    """
    wanted = (bone,) if bone and on == CONTROL else ()
    (clip,) = sample(scene, [rig], props=(), bones=wanted)
    basis = build_basis(clip, Settings())
    if not is_rig(rig):
        return _of_object(rig, basis)
    if on == CONTROL:
        return _of_bone(rig, basis, "control", bone) if bone else _of_rig_object(rig, basis)
    return {ROOT: _root, PELVIS: _pelvis, COM: _centre}[on](rig, basis)


def _root(rig: bpy.types.Object, basis: Basis) -> Point:
    return _of_bone(rig, basis, "root", _root_joint(basis))


def _root_joint(basis: Basis) -> str:
    parts = basis.roles.parts
    joints = parts.get("root") or parts.get("pelvis")
    if not joints:
        raise PlumblineError(
            f"no root was found in {basis.clip.meta.name!r}, expected a control or bone that "
            "carries the body: name it so that it is known, such as torso, hips or pelvis."
        )
    return joints[0]


def _pelvis(rig: bpy.types.Object, basis: Basis) -> Point:
    joints = basis.roles.parts.get("pelvis")
    if not joints:
        raise PlumblineError(
            f"no pelvis was found in {basis.clip.meta.name!r}, expected a bone of the hips: name "
            "it so that it is known, tell it under Parts, or put the ball on the root."
        )
    return _of_bone(rig, basis, "pelvis", joints[0])


def _centre(rig: bpy.types.Object, basis: Basis) -> Point:
    points = mass_points(basis)
    if points is None or basis.com is None:
        raise PlumblineError(
            f"the centre of mass of {basis.clip.meta.name!r} is not known, expected bones of trunk "
            "and both legs: name them so that they are known, or put the ball on the root."
        )
    lengths = basis.clip.lengths
    shares = []
    for each in points:
        length = 0.0 if lengths is None else float(lengths[basis.clip.joint(each.joint)])
        along = min(each.along_m / length, 1.0) if length > 0.0 else 0.0
        shares.append(BonePoint(each.joint, along, each.share))
    root, turns = _root_joint(basis), np.tile(NO_TURN, (len(basis.frames), 1))
    control = control_of(rig, basis.clip, root, root)
    where = Where("com", "the centre of mass", "", control, tuple(shares))
    return _point(rig, basis, where, basis.com, turns)


def _of_bone(rig: bpy.types.Object, basis: Basis, what: str, bone: str) -> Point:
    clip, parts = basis.clip, basis.roles.parts
    joint = clip.joint(bone)
    root = next(iter(parts.get("root") or parts.get("pelvis") or (bone,)))
    control = bone if what == "control" else control_of(rig, clip, bone, root)
    where = Where(what, repr(bone), bone, control, (BonePoint(bone, 0.0, 1.0),))
    return _point(rig, basis, where, clip.positions[:, joint], clip.rotations[:, joint])


def _of_object(item: bpy.types.Object, basis: Basis) -> Point:
    clip = basis.clip
    where = Where("control", repr(item.name), clip.joints[0], "", (OBJECT,))
    found = _point(item, basis, where, clip.positions[:, 0], clip.rotations[:, 0])
    long = 0.0 if clip.lengths is None else float(clip.lengths[0])
    return replace(found, radius_m=0.5 * long) if long > 0.0 else found


def _of_rig_object(rig: bpy.types.Object, basis: Basis) -> Point:
    clip, control = basis.clip, object_control(rig)
    if control not in clip.meta.controls or clip.control_matrices is None:
        raise PlumblineError(
            f"no bone of {rig.name!r} is active, and its object has no keys, expected the control "
            "that the ball is to stand on: select that bone in Pose Mode."
        )
    matrices = clip.control_matrices[:, clip.meta.controls.index(control)]
    where = Where("control", repr(rig.name), "", "", (OBJECT,))
    return _point(rig, basis, where, matrices[:, :3, 3], quat.from_matrices(matrices))


def _point(rig: bpy.types.Object, basis: Basis, where: Where, positions: Any, turns: Any) -> Point:
    return Point(
        where=where,
        frames=basis.frames,
        positions=np.array(positions, dtype=np.float64),
        turns=quat.continuous(turns),
        keyed=keyed_frames(rig, basis.clip, where.control),
        radius_m=RADIUS_SHARE * basis.height.scene_m,
        height_m=basis.height.scene_m,
        ahead=np.mean(basis.forward, axis=0),
    )
