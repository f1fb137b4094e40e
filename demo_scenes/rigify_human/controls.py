# SPDX-License-Identifier: GPL-3.0-or-later
"""The Rigify human's main controls: their names, plain settings, and channels from matrices."""

from dataclasses import dataclass

import bpy
import numpy as np
from mathutils import Matrix

from ..captured.fcurves import LINEAR, bone_path, write_channel
from ..captured.rotations import Floats, continuous

SIDES = ("L", "R")
ROOT = 1  # Rigify's parent switches: the first choice is the `root` control
BODY_CONTROLS = ("torso", "hips", "chest")
HEAD_CONTROLS = ("neck", "head")
FOOT_CONTROLS = ("foot_ik", "thigh_ik_target")
ARM_CONTROLS = {
    "ik": ("hand_ik", "upper_arm_ik_target"),
    "fk": ("upper_arm_fk", "forearm_fk", "hand_fk"),
}


@dataclass(frozen=True, eq=False)
class Track:
    """A control's channels over T frames: location (T,3) in metres and rotation (T,4) as
    quaternions w, x, y, z with continuous signs; None for what the control is not keyed on."""

    location: Floats | None = None
    rotation: Floats | None = None

    def channels(self) -> list[tuple[str, Floats]]:
        """(property, values (T,N)) of what is keyed."""
        both = (("location", self.location), ("rotation_quaternion", self.rotation))
        return [(prop, values) for prop, values in both if values is not None]


def sided(controls: tuple[str, ...]) -> tuple[str, ...]:
    """Both sides' names of paired controls."""
    return tuple(f"{control}.{side}" for side in SIDES for control in controls)


def set_plain(rig: bpy.types.Object, arms: str) -> None:
    """Let every control stand for itself: feet and hands in the root's space, knees and elbows
    aimed by pole controls, no stretch, neck and head riding on the chest."""
    bones = rig.pose.bones
    bones["torso"]["torso_parent"] = ROOT
    bones["torso"]["neck_follow"] = 1.0
    bones["torso"]["head_follow"] = 1.0
    for side in SIDES:
        _set_limb(bones[f"thigh_parent.{side}"], fk=False)
        _set_limb(bones[f"upper_arm_parent.{side}"], fk=arms == "fk")
    rig.update_tag()


def _set_limb(parent: bpy.types.PoseBone, *, fk: bool) -> None:
    parent["IK_FK"] = 1.0 if fk else 0.0
    parent["IK_Stretch"] = 0.0
    parent["IK_parent"] = parent["pole_parent"] = ROOT
    parent["pole_vector"] = True
    parent["FK_limb_follow"] = 0.0


def reset_pose(rig: bpy.types.Object) -> None:
    """Put every bone at rest and take the rig's action off, without touching its drivers."""
    if rig.animation_data and rig.animation_data.action:
        action = rig.animation_data.action
        rig.animation_data.action = None
        if not action.users:
            bpy.data.actions.remove(action)
    for bone in rig.pose.bones:
        bone.matrix_basis = Matrix.Identity(4)


def rest_matrix(rig: bpy.types.Object, bone: str) -> Floats:
    """(4,4) the bone at rest in the armature's space."""
    return np.array(rig.data.bones[bone].matrix_local)


def to_channels(
    rig: bpy.types.Object, control: str, wanted: Floats, parent: Floats | None
) -> tuple[Floats, Floats]:
    """Location (T,3) and rotation (T,4) that put a control at world matrices (T,4,4).

    parent (T,4,4): the parent bone's world matrices; None for a control without parent.
    """
    bone = rig.data.bones[control]
    to_rig = np.linalg.inv(np.array(rig.matrix_world))
    locations, rotations = np.zeros((len(wanted), 3)), np.zeros((len(wanted), 4))
    for t in range(len(wanted)):
        above = {}
        if parent is not None:
            above = {
                "parent_matrix": Matrix(to_rig @ parent[t]),
                "parent_matrix_local": bone.parent.matrix_local,
            }
        basis = bone.convert_local_to_pose(
            Matrix(to_rig @ wanted[t]), bone.matrix_local, **above, invert=True
        )
        locations[t], rotations[t] = basis.to_translation(), basis.to_quaternion()
    return locations, continuous(rotations)


def key_every_frame(rig: bpy.types.Object, tracks: dict[str, Track], first: int) -> None:
    """Key the tracks on every frame from `first`, linear in between."""
    for control, track in tracks.items():
        for prop, values in track.channels():
            frames = np.arange(first, first + len(values), dtype=np.float64)
            path = bone_path(control, prop)
            write_channel(rig, path, frames, values, interpolation=LINEAR)
