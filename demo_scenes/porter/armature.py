# SPDX-License-Identifier: GPL-3.0-or-later
"""The porter's armature: bones from the rest table, leg IK, bone collections, handles to grab."""

from collections.abc import Iterator
from contextlib import contextmanager
from math import pi

import bpy
from mathutils import Vector

from .bones import BONES, RestBone
from .widgets import dress

SIDES = ("L", "R")
# The thigh's local X points across the leg and the pole stands ahead of the knee.
POLE_ANGLE = 0.5 * pi


def build_rig(name: str) -> bpy.types.Object:
    """Add the porter's armature to the current scene, at the origin, in its rest pose.

    Leaves it active and in object mode. Deform bones and helpers are hidden through their
    bone collections; what an animator keys is in `Controls`.
    """
    rig = bpy.data.objects.new(name, bpy.data.armatures.new(name))
    bpy.context.scene.collection.objects.link(rig)
    with _editing(rig):
        for bone in BONES:
            _add_bone(rig.data, bone)
    for bone in BONES:
        rig.pose.bones[bone.name].rotation_mode = bone.order
        rig.data.bones[bone.name].use_deform = bone.deform
    for side in SIDES:
        _constrain_leg(rig, side)
    _collect(rig.data)
    dress(rig)
    rig.show_in_front = True
    rig.data.display_type = "STICK"
    return rig


def is_helper(name: str) -> bool:
    """Whether a bone is machinery that nobody keys."""
    return name.startswith("mch_")


def is_leg(name: str) -> bool:
    """Whether a bone is driven by the leg IK, so that its own channels are not keyed."""
    return name.split(".")[0] in ("thigh", "shin", "foot", "toe")


@contextmanager
def _editing(rig: bpy.types.Object) -> Iterator[None]:
    bpy.context.view_layer.objects.active = rig
    bpy.ops.object.mode_set(mode="EDIT")
    try:
        yield
    finally:
        bpy.ops.object.mode_set(mode="OBJECT")


def _add_bone(armature: bpy.types.Armature, bone: RestBone) -> None:
    made = armature.edit_bones.new(bone.name)
    made.head, made.tail = bone.head, bone.tail
    made.align_roll(Vector(bone.facing))
    if bone.parent is not None:
        made.parent = armature.edit_bones[bone.parent]
        made.use_connect = bone.deform and made.parent.tail == made.head


def _constrain_leg(rig: bpy.types.Object, side: str) -> None:
    """Two-bone IK to the ankle; foot and toe take their turn from the helpers in the foot."""
    bones = rig.pose.bones
    ik = bones[f"shin.{side}"].constraints.new("IK")
    ik.target, ik.subtarget = rig, f"mch_foot.{side}"
    ik.pole_target, ik.pole_subtarget = rig, f"knee_pole.{side}"
    ik.pole_angle = POLE_ANGLE
    ik.chain_count = 2
    ik.use_stretch = False
    for part in ("foot", "toe"):
        copy = bones[f"{part}.{side}"].constraints.new("COPY_ROTATION")
        copy.target, copy.subtarget = rig, f"mch_{part}.{side}"


def _collect(armature: bpy.types.Armature) -> None:
    """Three bone collections; a bone keyed by hand that also deforms is in two of them."""
    controls = armature.collections.new("Controls")
    deform = armature.collections.new("Deform")
    helpers = armature.collections.new("Helpers")
    for bone in armature.bones:
        if is_helper(bone.name):
            helpers.assign(bone)
            continue
        if bone.use_deform:
            deform.assign(bone)
        if not is_leg(bone.name):
            controls.assign(bone)
    deform.is_visible = False
    helpers.is_visible = False
