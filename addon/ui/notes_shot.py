# SPDX-License-Identifier: GPL-3.0-or-later
"""Is a report about the shot that is open? What is known of that, and what is said where not."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePath

import bpy

from ...analysis import Shot
from ...analysis.notes_file import shot_for, why_other_rig
from ...analysis.passes import Here, ReadShot, is_another, shot_words
from ..record.shots import pass_before
from ..sampling.scene_facts import frame_range, frames_per_second, is_rig
from . import last_check

ANYWAY = "Take Them Anyway"


@dataclass(frozen=True, eq=False)
class Meant:
    """The shot of a report that may be meant; why its notes are not taken, one sentence or empty;
    and whether its findings are those of the shot that is open."""

    read: ReadShot
    why: str
    is_ours: bool


def shot_meant(
    scene: bpy.types.Scene, rig: bpy.types.Object, read: Sequence[ReadShot], file: str
) -> Meant:
    """Which shot of a report is a rig's; raises PlumblineError where it holds none."""
    names = {rig.name, rig.name_full}
    rigs = {name for item in scene.objects if is_rig(item) for name in (item.name, item.name_full)}
    found, here = shot_for(read, names, scene.name, file), _here(scene, rig)
    other = is_another(found.shot, found.said, here)
    why = why_other_rig(read, names, rigs, file, ANYWAY)
    if other and not why:
        why = _why_another(found.shot, here, file)
    return Meant(found, why, is_ours=not other)


def _why_another(there: Shot, here: Here, file: str) -> str:
    """What differs, as a sentence; where nothing was measured and ranges agree, it is the file."""
    names = [PurePath(name.replace("\\", "/")).name for name in (there.file, here.file)]
    measured = here.basis is not None or here.before is not None
    if not measured and there.frames == here.frames and all(names) and names[0] != names[1]:
        return (
            f"{file} was made of {names[0]}, expected notes of {names[1]}, which is open: pick "
            f"another file, or choose {ANYWAY} where it was only renamed."
        )
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
