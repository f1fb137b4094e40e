# SPDX-License-Identifier: GPL-3.0-or-later
"""The demo scene `bvh_jump`: a captured jump as Blender's BVH importer brings it in, all baked."""

import os
import tempfile
import warnings
from dataclasses import replace
from pathlib import Path

import bpy

from ..captured.armature import capsules
from ..captured.body import attach_body
from ..captured.motions import CapturedMotion, load_motion
from ..captured.resample import resample
from .bvh_file import CM, bvh_name, bvh_text
from .faults import PLANTED, plant

__all__ = ["FILE", "NAME", "PLANTED", "build", "motion", "write_file"]

NAME, FILE, FPS = "bvh_jump", "bvh_jump.bvh", 30.0


def motion() -> CapturedMotion:
    """The captured jump as it is written to the file."""
    return resample(load_motion(Path(os.environ["PLUMBLINE_CAPTURED"]), "jump"), FPS)


def write_file(folder: Path) -> Path:
    """Write the BVH file into a folder; return where it lies."""
    path = folder / FILE
    path.write_text(bvh_text(motion()), encoding="ascii")
    return path


def build(polished: bool) -> bpy.types.Object:
    """Import the jump into the current, emptied scene; return the armature."""
    with tempfile.TemporaryDirectory(prefix="plumbline-bvh-") as folder:
        rig = import_file(write_file(Path(folder)))
    captured = motion()
    named = [replace(each, bone=bvh_name(each.bone)) for each in capsules(captured)]
    bpy.context.scene.collection.objects.link(attach_body(rig, named, f"{NAME} body"))
    rig.show_in_front, rig.data.display_type = True, "STICK"  # bones lie inside the mannequin
    if not polished:
        plant(rig, FPS)
    scene = bpy.context.scene
    scene.name = NAME
    scene.frame_end = captured.frame_count  # the importer lengthens a scene, but never cuts it
    scene.frame_set(1)
    return rig


def import_file(path: Path) -> bpy.types.Object:
    """Import as one does from the menu: centimetres, and the file's rate and length."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ResourceWarning)  # the importer never closes the file
        bpy.ops.import_anim.bvh(
            filepath=str(path),
            global_scale=1.0 / CM,
            frame_start=1,
            update_scene_fps=True,
            update_scene_duration=True,
            axis_forward="-Z",
            axis_up="Y",
        )
    return bpy.context.view_layer.objects.active
