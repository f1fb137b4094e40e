# SPDX-License-Identifier: GPL-3.0-or-later
"""Samples rigs over a range: one clip a character, the scene left as it was."""

from collections.abc import Sequence

import bpy

from ...analysis import Clip, PlumblineError
from ...analysis.in_steps import at_once
from .in_steps import sampling_in_steps


def sample(
    scene: bpy.types.Scene,
    rigs: Sequence[bpy.types.Object],
    *,
    first: float | None = None,
    last: float | None = None,
    props: Sequence[bpy.types.Object] | None = None,
    bones: Sequence[str] = (),
) -> list[Clip]:
    """Sample rigs as `sample_each` does; raises PlumblineError for the first that fails."""
    clips = []
    for result in sample_each(scene, rigs, first=first, last=last, props=props, bones=bones):
        if isinstance(result, PlumblineError):
            raise result
        clips.append(result)
    return clips


def sample_each(
    scene: bpy.types.Scene,
    rigs: Sequence[bpy.types.Object],
    *,
    first: float | None = None,
    last: float | None = None,
    props: Sequence[bpy.types.Object] | None = None,
    bones: Sequence[str] = (),
) -> list[Clip | PlumblineError]:
    """Sample rigs, or plain objects, on every frame of a range; by default the one that plays.

    One result for each rig, in their order: its clip, or the error that tells in one sentence
    why there is none; the other rigs do not suffer from it. What concerns all of them (a range
    that cannot be, a second Blender that fails) is raised as a PlumblineError.

    props are objects to follow with every rig; where None, those that each rig holds. Of `bones`,
    those that a rig has become joints as well. The camera is the one that plays, marker by marker.
    What the user asked to follow (see `follow`) goes with the rig that it hangs on, else with the
    first. What is declared to bear weight (see `supports`) is followed beside every rig.

    All rigs are read in one pass over the frames. Where a temporary scene would not give
    the real poses (see `exactness`), a process that owns its file steps the scene itself, and
    a Blender with a window asks a second one. `in_steps` does the same with pauses.
    """
    steps = sampling_in_steps(scene, rigs, first=first, last=last, props=props, bones=bones)
    return at_once(steps)
