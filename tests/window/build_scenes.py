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

from rigs import biped, spike

from demo_scenes import rigify_jump
from demo_scenes.captured.armature import add_captured
from demo_scenes.captured.motions import load_motion

BESIDE_M = 1.5
STRAY_FRAME, STRAY_M = 30, 0.06


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


def _empty():
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)


def _save(path):
    bpy.context.preferences.filepaths.save_version = 0
    bpy.ops.wm.save_as_mainfile(filepath=str(path), check_existing=False)


main()
sys.stdout.flush()
os._exit(0)  # Blender's Python module may hang or crash at a plain exit
