# SPDX-License-Identifier: GPL-3.0-or-later
"""Read a rig's bones over frames, in a scene of their own so that nothing else is evaluated."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import bpy
import numpy as np

from ..captured.rotations import Floats


def sample_bones(rig: bpy.types.Object, frames: Sequence[float], bones: Sequence[str]) -> Floats:
    """World matrices (T,B,4,4) of the named pose bones on the given frames."""
    at = [rig.pose.bones.find(bone) for bone in bones]
    if min(at, default=0) < 0:
        raise ValueError(
            f"{rig.name} has no bone {bones[at.index(-1)]!r}, expected a generated Rigify human: "
            "build one with build_human."
        )
    buffer = np.zeros(len(rig.pose.bones) * 16, np.float32)
    found = np.zeros((len(frames), len(at), 4, 4))
    with _scene_of(rig) as scene:
        for t, frame in enumerate(frames):
            whole = int(np.floor(frame))
            scene.frame_set(whole, subframe=float(frame) - whole)
            posed = rig.evaluated_get(scene.view_layers[0].depsgraph)
            posed.pose.bones.foreach_get("matrix", buffer)
            # Blender hands out matrices column by column.
            matrices = buffer.reshape(-1, 4, 4)[at].transpose(0, 2, 1)
            found[t] = np.array(posed.matrix_world) @ matrices
    return found


def sample_heads(rig: bpy.types.Object, frames: Sequence[float], bones: Sequence[str]) -> Floats:
    """World heads (T,B,3) in metres of the named pose bones on the given frames."""
    return sample_bones(rig, frames, bones)[:, :, :3, 3]


@contextmanager
def _scene_of(rig: bpy.types.Object) -> Iterator[bpy.types.Scene]:
    scene = bpy.data.scenes.new(".rig alone")
    scene.collection.objects.link(rig)
    try:
        yield scene
    finally:
        bpy.data.scenes.remove(scene)
