# SPDX-License-Identifier: GPL-3.0-or-later
"""Generate the Rigify human and hang a light mannequin on its deform bones."""

import contextlib
import io

import addon_utils
import bpy
import numpy as np
from mathutils import Matrix

from ..captured.body import Capsule, attach_body

RIG_NAME = "human"
_TOP_BONE = "spine.006"  # the metarig's head; its tail is the top of the skull

# Radii at a bone's two ends as shares of the figure's height, by the deform bone's stem.
_RADII = {
    "spine": (0.058, 0.056),
    "spine.001": (0.055, 0.055),
    "spine.002": (0.055, 0.060),
    "spine.003": (0.060, 0.048),
    "spine.004": (0.026, 0.026),
    "shoulder": (0.030, 0.032),
    "upper_arm": (0.029, 0.024),
    "forearm": (0.023, 0.017),
    "hand": (0.018, 0.018),
    "thigh": (0.043, 0.033),
    "shin": (0.031, 0.021),
    "foot": (0.021, 0.013),
    "toe": (0.0085, 0.0085),
    "palm": (0.008, 0.008),
    "f_": (0.0055, 0.005),
    "thumb": (0.0065, 0.0055),
}
_SEGMENTED = ("upper_arm", "forearm", "thigh", "shin")
_HAND_PARTS = ("palm", "f_", "thumb")  # many bones each, alike in size


def build_human(*, height_m: float | None = None, body: bool = True) -> bpy.types.Object:
    """Add a generated Rigify human to the current scene, standing at the origin, facing -Y.

    height_m scales the metarig before generation (its own height, 1.98 m, when None); with
    `body` a mannequin bound to the deform bones hangs on it. Takes 4 to 7 s.
    """
    if height_m is not None and not 0.1 <= height_m <= 100.0:
        raise ValueError(
            f"height_m is {height_m:g}, expected 0.1 to 100 m: pass the figure's height in metres."
        )
    addon_utils.enable("rigify", default_set=True)
    with contextlib.redirect_stdout(io.StringIO()):  # the generator reports every stage
        metarig = _add_metarig(height_m)
        bpy.ops.pose.rigify_generate()
    rig = bpy.context.view_layer.objects.active
    rig.name = rig.data.name = RIG_NAME
    bpy.data.armatures.remove(metarig.data)  # takes the object with it
    if body:
        mesh = attach_body(rig, _capsules(rig), f"{rig.name} body")
        bpy.context.scene.collection.objects.link(mesh)
    return rig


def figure_height(rig: bpy.types.Object) -> float:
    """The figure's standing height in metres: the top of its head at rest."""
    return float(rig.data.bones["DEF-spine.006"].tail_local.z)


def _add_metarig(height_m: float | None) -> bpy.types.Object:
    """Add the human metarig, scaled, as the active object."""
    if bpy.context.object and bpy.context.object.mode != "OBJECT":
        bpy.ops.object.mode_set(mode="OBJECT")
    bpy.ops.object.armature_human_metarig_add()
    metarig = bpy.context.view_layer.objects.active
    # It is put at the 3D cursor, wherever that is.
    metarig.matrix_world = Matrix.Identity(4)
    if height_m is not None:
        own = metarig.data.bones[_TOP_BONE].tail_local.z
        metarig.data.transform(Matrix.Scale(height_m / own, 4))
    return metarig


def _capsules(rig: bpy.types.Object) -> list[Capsule]:
    height = figure_height(rig)
    bones = [bone for bone in rig.data.bones if bone.use_deform]
    limbs = [_limb(bone, height) for bone in bones if _radii(bone.name)]
    return limbs + _widths(rig, height) + _head(rig.data.bones["DEF-spine.006"], height)


def _widths(rig: bpy.types.Object, height: float) -> list[Capsule]:
    """Bars across hips and ribs: a body that is as wide as deep hides how it turns."""
    bars = []
    for bone, share, radius in (
        ("DEF-spine", 0.045, 0.050),
        ("DEF-spine.002", 0.026, 0.050),
        ("DEF-spine.003", 0.050, 0.046),
    ):
        middle = 0.5 * np.array(rig.data.bones[bone].head_local + rig.data.bones[bone].tail_local)
        aside = np.array([share * height, 0.0, 0.0])
        bars.append(Capsule(bone, middle - aside, middle + aside, radius * height, radius * height))
    return bars


def _radii(bone: str) -> tuple[float, float] | None:
    """Shares of height at both ends; halves of a limb taper on from each other."""
    stem = bone.removeprefix("DEF-")
    base = stem.replace(".L", "").replace(".R", "")
    for part in _SEGMENTED:
        if base in (part, f"{part}.001"):
            a, b = _RADII[part]
            middle = 0.5 * (a + b)
            return (a, middle) if base == part else (middle, b)
    if base in _RADII:
        return _RADII[base]
    return next((_RADII[part] for part in _HAND_PARTS if base.startswith(part)), None)


def _limb(bone: bpy.types.Bone, height: float) -> Capsule:
    radius_a, radius_b = (height * share for share in _radii(bone.name))
    a, b = np.array(bone.head_local), np.array(bone.tail_local)
    return Capsule(bone.name, a, b, radius_a, radius_b)


def _head(bone: bpy.types.Bone, height: float) -> list[Capsule]:
    """A skull as wide as an eighth of the figure is tall, and a nose that tells where it looks."""
    a, b = np.array(bone.head_local), np.array(bone.tail_local)
    radius = 0.052 * height
    low, high = b - [0, 0, 1.9 * radius], b - [0, 0, radius]
    forward = np.array([0.0, -1.0, 0.0])
    middle = 0.5 * (low + high)
    return [
        Capsule(bone.name, a, low, 0.030 * height, 0.8 * radius),
        Capsule(bone.name, low + 0.015 * height * forward, high, 0.8 * radius, radius),
        Capsule(
            bone.name,
            middle + radius * forward,
            middle + 1.25 * radius * forward - [0, 0, 0.1 * radius],
            0.014 * height,
            0.006 * height,
        ),
    ]
