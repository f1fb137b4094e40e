# SPDX-License-Identifier: GPL-3.0-or-later
"""A captured motion on an armature of its own skeleton, one key a frame (a bake)."""

import bpy
import numpy as np
from mathutils import Vector

from .body import Capsule, attach_body
from .fcurves import LINEAR, bone_path, set_scene_rate, write_channel
from .motions import CapturedMotion
from .rotations import Floats, conjugate, continuous, multiply, rotate

FIRST_FRAME = 1

# Radii in metres, as the URDF's shapes have them (PyPI pybullet 3.2.7).
_LIMB_RADII = {
    "thigh": 0.055,
    "shin": 0.050,
    "upper_arm": 0.045,
    "forearm": 0.040,
    "hand": 0.040,
    "foot": 0.028,
    "neck": 0.045,
}


def add_captured(motion: CapturedMotion, *, body: bool = True) -> bpy.types.Object:
    """Add an armature that plays the motion to the current scene, from frame 1; return it.

    Sets the scene's frame rate and range. With `body` a mannequin of capsules hangs on it.
    """
    rig = build_armature(motion)
    key_every_frame(rig, motion)
    set_scene_rate(bpy.context.scene, motion.fps, FIRST_FRAME, FIRST_FRAME + motion.frame_count - 1)
    if body:
        mesh = attach_body(rig, capsules(motion), f"{motion.name} body")
        bpy.context.scene.collection.objects.link(mesh)
    return rig


def build_armature(motion: CapturedMotion) -> bpy.types.Object:
    """Add an armature in the motion's rest pose to the current scene; one bone a joint."""
    rig = bpy.data.objects.new(motion.name, bpy.data.armatures.new(motion.name))
    bpy.context.scene.collection.objects.link(rig)
    bpy.context.view_layer.objects.active = rig
    bpy.ops.object.mode_set(mode="EDIT")
    try:
        for j in range(len(motion.joints)):
            _add_bone(rig.data.edit_bones, motion, j)
    finally:
        bpy.ops.object.mode_set(mode="OBJECT")
    for bone in rig.pose.bones:
        bone.rotation_mode = "QUATERNION"
    return rig


def key_every_frame(rig: bpy.types.Object, motion: CapturedMotion) -> None:
    """Key every bone's rotation and the root's location on frames 1..T, linear in between."""
    frames = np.arange(FIRST_FRAME, FIRST_FRAME + motion.frame_count, dtype=np.float64)
    turns = continuous(_local_rotations(motion))
    for j, joint in enumerate(motion.joints):
        path = bone_path(joint, "rotation_quaternion")
        write_channel(rig, path, frames, turns[:, j], interpolation=LINEAR)
    root = motion.parents.index(-1)
    path = bone_path(motion.joints[root], "location")
    write_channel(rig, path, frames, _root_location(motion, root), interpolation=LINEAR)


def _add_bone(bones: bpy.types.ArmatureEditBones, motion: CapturedMotion, j: int) -> None:
    bone = bones.new(motion.joints[j])
    head, turn = motion.rest_positions[j], motion.rest_rotations[j]
    bone.head = head
    bone.tail = head + rotate(turn, np.array([0.0, motion.lengths[j], 0.0]))
    bone.align_roll(Vector(rotate(turn, np.array([0.0, 0.0, 1.0]))))
    if motion.parents[j] >= 0:
        bone.parent = bones[motion.joints[motion.parents[j]]]


def _local_rotations(motion: CapturedMotion) -> Floats:
    """(T,J,4) what each pose bone is keyed with: its turn away from rest against its parent."""
    local = np.zeros_like(motion.rotations)
    for j, parent in enumerate(motion.parents):
        rest, turn = motion.rest_rotations[j], motion.rotations[:, j]
        if parent >= 0:
            rest = multiply(conjugate(motion.rest_rotations[parent]), rest)
            turn = multiply(conjugate(motion.rotations[:, parent]), turn)
        local[:, j] = multiply(conjugate(rest), turn)
    return local


def _root_location(motion: CapturedMotion, root: int) -> Floats:
    """(T,3) the root bone's location channel, which is told in its rest axes."""
    moved = motion.positions[:, root] - motion.rest_positions[root]
    return rotate(conjugate(motion.rest_rotations[root]), moved)


def capsules(motion: CapturedMotion) -> list[Capsule]:
    """The mannequin of a motion's skeleton at rest; its bones are called after the joints."""
    places = dict(zip(motion.joints, motion.rest_positions, strict=True))
    hips, chest, neck = places["hips"], places["chest"], places["neck"]
    top = motion.lengths[motion.joint("head")]
    radius = 0.5 * top
    up = np.array([0.0, 0.0, 1.0])
    head = places["head"] + radius * up
    trunk = [
        Capsule("hips", places["thigh.L"], places["thigh.R"], 0.075, 0.075),
        Capsule("hips", hips, 0.35 * hips + 0.65 * chest, 0.09, 0.085),
        Capsule("chest", chest, 0.4 * chest + 0.6 * neck, 0.10, 0.11),
        Capsule("chest", places["upper_arm.L"], places["upper_arm.R"], 0.05, 0.05),
        Capsule("head", head - 0.02 * up, head + 0.02 * up, radius - 0.02, radius - 0.02),
        # A nose tells which way the head looks.
        Capsule("head", head, head - [0.0, radius + 0.01, 0.01], 0.03, 0.012),
    ]
    return trunk + [_limb(motion, j) for j in motion.joints if j.split(".")[0] in _LIMB_RADII]


def _limb(motion: CapturedMotion, joint: str) -> Capsule:
    """A capsule along the bone; the foot's lies on its sole from heel to toe."""
    j, radius = motion.joint(joint), _LIMB_RADII[joint.split(".")[0]]
    a, turn = motion.rest_positions[j], motion.rest_rotations[j]
    b = a + rotate(turn, np.array([0.0, motion.lengths[j], 0.0]))
    if joint.startswith("foot"):
        heel = motion.points.index(joint.replace("foot", "heel"))
        a = a + rotate(turn, motion.point_offset[heel])
        inwards = (b - a) / np.linalg.norm(b - a) * radius
        a, b = a + inwards + [0, 0, radius], b - inwards + [0, 0, radius]
    return Capsule(joint, a, b, radius, radius)
