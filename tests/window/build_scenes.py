# SPDX-License-Identifier: GPL-3.0-or-later
"""Builds the files that the scenarios open, in Blender as a Python module.

    PLUMBLINE_CAPTURED=.../pybullet_data PYTHON tests/window/build_scenes.py FOLDER

PYTHON has Blender's module, of the oldest version that shall open the files.
"""

import os
import sys
from pathlib import Path

import bpy

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "addon"))
sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import trail_scene
from rigs import biped, key, set_range, spike

from demo_scenes import rigify_jump
from demo_scenes.captured.armature import add_captured
from demo_scenes.captured.motions import load_motion
from demo_scenes.porter import sidestep

BESIDE_M = 1.5
STRAY_FRAME, STRAY_M = 30, 0.06
# One key of the head's in the shot with the linked figure.
NOD_FRAME, NOD_RAD = 25, 0.5


def main():
    """Each scene into its file."""
    folder = Path(sys.argv[-1]).resolve()
    _empty()
    rigify_jump.build(polished=False)
    _save(folder / "human.blend")
    _empty()
    for name, away in (("porter", 0.0), ("mate", BESIDE_M)):
        rig = biped(name)
        rig.location.x = away
        spike(rig.pose.bones["hips"], "location", 0, STRAY_FRAME, STRAY_M)
    _save(folder / "two.blend")
    _empty()
    add_captured(load_motion(Path(os.environ["PLUMBLINE_CAPTURED"]), "jump"))
    _save(folder / "jump.blend")
    _empty()
    sidestep.build(polished=False)
    _save(folder / "sidestep.blend")
    _empty()
    trail_scene.build()
    _save(folder / "trails.blend")
    _linked(folder)


def _linked(folder):
    """A figure in a library, and a shot that links and overrides it and keys the override."""
    _empty()
    rig = biped("puppet")
    rig.animation_data_clear()
    cast = bpy.data.collections.new("cast")
    cast.objects.link(rig)
    bpy.context.scene.collection.objects.unlink(rig)
    bpy.context.scene.collection.children.link(cast)
    _save(folder / "library.blend")
    _empty()
    _save(folder / "linked.blend")  # the library's place is told from there
    library = str(folder / "library.blend")
    with bpy.data.libraries.load(library, link=True, relative=True) as (_found, asked_for):
        asked_for.collections = ["cast"]
    made = asked_for.collections[0].override_hierarchy_create(
        bpy.context.scene, bpy.context.view_layer, do_fully_editable=True
    )
    rig = next(item for item in made.all_objects if item.type == "ARMATURE")
    key(rig.pose.bones["hips"], "location", [(0, 0, 0), (0.05, 0.02, 0.4), (0, 0, 0.8)])
    spike(rig.pose.bones["head"], "rotation_euler", 0, NOD_FRAME, NOD_RAD)
    set_range(1, 40)
    _save(folder / "linked.blend")


def _empty():
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)


def _save(path):
    bpy.context.preferences.filepaths.save_version = 0
    bpy.ops.wm.save_as_mainfile(filepath=str(path), check_existing=False)


main()
sys.stdout.flush()
os._exit(0)  # Blender's Python module may hang or crash at a plain exit
