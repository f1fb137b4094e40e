# SPDX-License-Identifier: GPL-3.0-or-later
"""Samples rigs over a range: one clip a character, the scene left as it was."""

from collections import Counter
from collections.abc import Sequence

import bpy
import numpy as np

from ...analysis import Clip, PlumblineError
from ..causes.nudges import with_carried
from .added import share_points
from .cameras import CameraPlan, camera_matrices, plan_cameras
from .child import sample_in_child
from .clips import make_clip
from .exactness import judge
from .reader import RigPlan, RigReader, plan_rig
from .scene_facts import checked_range, frame_range
from .stages import Corner, Stage, real_stage, temporary_stage
from .supports import SupportReader, plan_supports


def sample(
    scene: bpy.types.Scene,
    rigs: Sequence[bpy.types.Object],
    *,
    first: float | None = None,
    last: float | None = None,
    props: Sequence[bpy.types.Object] | None = None,
) -> list[Clip]:
    """Sample rigs as `sample_each` does; raises PlumblineError for the first that fails."""
    clips = []
    for result in sample_each(scene, rigs, first=first, last=last, props=props):
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
) -> list[Clip | PlumblineError]:
    """Sample rigs, or plain objects, on every frame of a range; by default the one that plays.

    One result for each rig, in their order: its clip, or the error that tells in one sentence
    why there is none; the other rigs do not suffer from it. What concerns all of them (a range
    that cannot be, a second Blender that fails) is raised as a PlumblineError.

    props are objects to follow with every rig; where None, those that each rig holds. The
    camera is the one that plays, marker by marker. What the user asked to follow (see `follow`)
    goes with the rig that it hangs on, else with the first. What is declared to bear weight (see
    `supports`) is followed beside every rig.

    All rigs are read in one pass over the frames. Where a temporary scene would not give
    the real poses (see `exactness`), a process that owns its file steps the scene itself, and
    a Blender with a window asks a second one.
    """
    playing = frame_range(scene)
    first, last = checked_range(
        playing[0] if first is None else first, playing[1] if last is None else last
    )
    plans = _plans(scene, rigs, props, first)
    good = [plan for plan in plans if isinstance(plan, RigPlan)]
    sampled = iter(_sample_plans(scene, good, props, range(first, last + 1)) if good else ())
    return [plan if isinstance(plan, PlumblineError) else next(sampled) for plan in plans]


def _plans(
    scene: bpy.types.Scene,
    rigs: Sequence[bpy.types.Object],
    props: Sequence[bpy.types.Object] | None,
    first: int,
) -> list[RigPlan | PlumblineError]:
    plans: list[RigPlan | PlumblineError] = []
    named = Counter(rig.name for rig in rigs)
    for rig, wanted in zip(rigs, share_points(scene, rigs), strict=True):
        name = rig.name if named[rig.name] == 1 else rig.name_full
        try:
            plans.append(plan_rig(scene, rig, props, first=first, name=name, wanted=wanted))
        except PlumblineError as error:
            plans.append(error)
    return plans


def _sample_plans(
    scene: bpy.types.Scene,
    plans: Sequence[RigPlan],
    props: Sequence[bpy.types.Object] | None,
    frames: range,
) -> list[Clip | PlumblineError]:
    cameras = plan_cameras(scene, frames)
    objects = [plan.rig for plan in plans if not plan.is_plain]
    objects += cameras.cameras if cameras else ()
    supports = SupportReader(plan_supports(scene), frames)
    objects = list(dict.fromkeys([*objects, *supports.rigs]))
    placed, corners = _besides(plans)
    placed = list(dict.fromkeys([*placed, *supports.placed]))
    verdict = judge(scene, [*objects, *(item for item, _vertex in corners)], placed)
    temporary = verdict.temporary_does
    if not temporary and not bpy.app.background:
        if verdict.only_here:
            raise PlumblineError(
                f"{verdict.why}, expected drivers that a second Blender can run: save the file "
                "and check it headless with --allow-scripts."
            )
        rigs = [plan.rig for plan in plans]
        return sample_in_child(scene, rigs, props, (frames[0], frames[-1]), verdict.why)
    if temporary:
        copied = bool(verdict.why)
        stages = temporary_stage(scene, objects, placed=placed, corners=corners, copied=copied)
    else:
        start = verdict.run_in_from
        stages = real_stage(scene, objects, placed=placed, corners=corners, run_in_from=start)
    with stages as stage:
        clips = _read(scene, stage, plans, cameras, supports, frames)
    return _followed(scene, plans, clips) if temporary else clips


def _followed(
    scene: bpy.types.Scene, plans: Sequence[RigPlan], clips: Sequence[Clip | PlumblineError]
) -> list[Clip | PlumblineError]:
    """The clips, each with what truly follows which control."""
    return [
        clip if isinstance(clip, PlumblineError) else with_carried(scene, plan, clip)
        for plan, clip in zip(plans, clips, strict=True)
    ]


def _besides(plans: Sequence[RigPlan]) -> tuple[list[bpy.types.Object], list[Corner]]:
    """Objects whose transforms are needed besides the rigs, and vertices, of all plans."""
    wanted = [each.wanted for plan in plans for each in plan.added]
    placed = [prop.item for plan in plans for prop in plan.props]
    placed += [point.item for point in wanted if point.vertex < 0]
    return placed, [(point.item, point.vertex) for point in wanted if point.vertex >= 0]


def _read(
    scene: bpy.types.Scene,
    stage: Stage,
    plans: Sequence[RigPlan],
    cameras: CameraPlan | None,
    supports: SupportReader,
    frames: range,
) -> list[Clip | PlumblineError]:
    readers = [RigReader(plan, len(frames)) for plan in plans]
    views = np.zeros((len(frames), 2, 4, 4))
    stage.run_in(frames[0])
    for at, frame in enumerate(frames):
        depsgraph = stage.go(frame)
        for reader in readers:
            reader.read(at, depsgraph, stage.corners)
        supports.read(at, depsgraph)
        if cameras is not None:
            camera = cameras.cameras[cameras.active[at]]
            views[at] = camera_matrices(camera, depsgraph, scene)
    clips: list[Clip | PlumblineError] = []
    for reader in readers:
        try:
            clips.append(make_clip(scene, reader, cameras, views, supports, frames, stage.resting))
        except PlumblineError as error:
            clips.append(error)
    return clips
