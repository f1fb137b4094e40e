# SPDX-License-Identifier: GPL-3.0-or-later
"""Saves the captured jump on its armature: a file with a flight to look at.

    PLUMBLINE_CAPTURED=.../pybullet_data PYTHON tests/window/build_jump.py jump.blend

PYTHON has Blender's module, of the oldest version that shall open the file.
"""

import os
import sys
from pathlib import Path

import bpy

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from demo_scenes.captured.armature import add_captured
from demo_scenes.captured.motions import load_motion

bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
add_captured(load_motion(Path(os.environ["PLUMBLINE_CAPTURED"]), "jump"))
bpy.ops.wm.save_as_mainfile(filepath=str(Path(sys.argv[-1]).resolve()), check_existing=False)
sys.stdout.flush()
os._exit(0)  # Blender's Python module may hang or crash at a plain exit
