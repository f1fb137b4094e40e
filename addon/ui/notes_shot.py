# SPDX-License-Identifier: GPL-3.0-or-later
"""Is a report about the shot that is open? What is known of that, and what is said where not."""

import bpy

from ...analysis.passes import Here, ReadShot, is_another, shot_words
from ..record.shots import pass_before
from ..sampling.scene_facts import frame_range, frames_per_second
from . import last_check

ANYWAY = "Take Them Anyway"


def why_not_ours(scene: bpy.types.Scene, rig: bpy.types.Object, read: ReadShot, file: str) -> str:
    """Why a report's notes are not taken, one sentence; empty where they may be this shot's."""
    here = _here(scene, rig)
    if not is_another(read.shot, read.said, here):
        return ""
    there = read.shot
    return (
        f"{file} is about another shot ({shot_words(there.file, there.scene, there.frames)}), "
        f"expected notes of this one ({shot_words(here.file, here.scene, here.frames)}): pick "
        f"another file, or choose {ANYWAY}."
    )


def _here(scene: bpy.types.Scene, rig: bpy.types.Object) -> Here:
    check = last_check.check_of(scene, rig)
    first, last = frame_range(scene)
    return Here(
        file=bpy.data.filepath,
        scene=scene.name,
        frames=(float(first), float(last)),
        fps=frames_per_second(scene),
        basis=None if check is None else check.examination.basis,
        before=pass_before(scene, rig),
    )
