# SPDX-License-Identifier: GPL-3.0-or-later
"""Samples in a second Blender where only stepping the scene itself gives true poses.

Stepping the real scene destroys unkeyed edits, so a Blender with a window never does it:
the scene is written to a temporary file as it is in memory, and a Blender without a
window, which owns that file, steps it and writes clips.
"""

import json
import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

import bpy

from ...analysis import Clip, PlumblineError, load_clip

SCRIPT = Path(__file__).resolve().parent.parent / "headless.py"
VERB = "sample-appended"


def sample_in_child(
    scene: bpy.types.Scene,
    rigs: Sequence[bpy.types.Object],
    props: Sequence[bpy.types.Object] | None,
    frames: tuple[int, int],
    reason: str,
) -> list[Clip]:
    """Clips of the rigs, sampled by a second Blender; raises PlumblineError with the reason."""
    with tempfile.TemporaryDirectory(prefix="plumbline-") as folder:
        blend = Path(folder) / "scene.blend"
        bpy.data.libraries.write(str(blend), {scene}, path_remap="ABSOLUTE")
        command = [bpy.app.binary_path, "--background", "--factory-startup"]
        # Drivers written in Python run there only if they were allowed to run here.
        command += [] if bpy.app.autoexec_fail else ["--enable-autoexec"]
        request = {
            "blend": str(blend),
            "scene": scene.name,
            "frames": frames,
            "rigs": [rig.name for rig in rigs],
            "props": None if props is None else [item.name for item in props],
            "folder": folder,
        }
        command += ["--python", str(SCRIPT), "--", VERB, json.dumps(request)]
        run = subprocess.run(command, capture_output=True, text=True, check=False)
        clips = [Path(folder) / f"{number}.npz" for number in range(len(rigs))]
        if run.returncode != 0 or not all(clip.is_file() for clip in clips):
            raise PlumblineError(
                f"the scene must be stepped by a second Blender because {reason}, and that one "
                f"ended with code {run.returncode}; expected clips: check the file headless "
                "to see why."
            )
        return [load_clip(clip) for clip in clips]


def load_appended(blend: str, scene_name: str) -> bpy.types.Scene:
    """Bring the written scene into this process, as the active one, with its own names."""
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    with bpy.data.libraries.load(blend, link=False) as (_found, wanted):
        wanted.scenes = [scene_name]
    scene = wanted.scenes[0]
    bpy.context.window.scene = scene
    return scene
