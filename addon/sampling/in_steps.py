# SPDX-License-Identifier: GPL-3.0-or-later
"""Sampling with pauses in which a window may be drawn, and at which it may be left for good.

Each step makes its temporary scene and removes it, so that at a pause nothing of ours is in the
file: it may be saved then, and the last undo step taken back. What is held meanwhile are arrays,
and a plan of what to read that is looked at again before it is used.
"""

from collections import Counter
from collections.abc import Callable, Generator, Sequence
from math import inf
from time import monotonic

import bpy

from ...analysis import Clip, PlumblineError
from ...analysis.in_steps import Progress, saying
from ..causes.nudges import Carried, carried_by, with_carried
from .added import share_points
from .child import sampling_in_child
from .follow import Wanted
from .held import Held
from .reader import RigPlan, plan_rig
from .reading import ShotReader
from .scene_facts import checked_range, frame_range

LOOKING, SECOND = "Looking at the rig", "A second Blender reads the frames"
FOLLOWING = "Trying what follows which control"
# Shares of the work after which frames have been planned, and read.
PLANNED, READ = 0.1, 0.8
# After each step Blender evaluates the whole scene: where that takes longer than a step, steps take
# as long, up to so many times what was asked for.
MOST_TIMES = 2.0

Results = list[Clip | PlumblineError]
Steps = Generator[Progress, None, Results]
# Hears what was read here, and what the controls of each rig carry.
Note = Callable[[ShotReader, list[Carried | None]], None]


def sampling_in_steps(
    scene: bpy.types.Scene,
    rigs: Sequence[bpy.types.Object],
    *,
    first: float | None = None,
    last: float | None = None,
    props: Sequence[bpy.types.Object] | None = None,
    bones: Sequence[str] = (),
    seconds: float = inf,
    note: Note | None = None,
) -> Steps:
    """`sampler.sample_each` in steps of about so many seconds; frames are read one at a time.

    note   hears of what was read in a temporary scene, at the end

    To be closed where it is left before its end. Raises ChangedError where what is read has gone
    during a pause, PlumblineError where it cannot be read any more; that poses have changed is for
    the caller to notice (see `watch`).
    """
    playing = frame_range(scene)
    first, last = checked_range(
        playing[0] if first is None else first, playing[1] if last is None else last
    )
    plans = _plans(scene, rigs, props, bones, first)
    good = [plan for plan in plans if isinstance(plan, RigPlan)]
    sampled: Results = []
    if good:
        frames = range(first, last + 1)
        sampled = yield from _sampling(scene, good, props, bones, frames, seconds, note)
    each = iter(sampled)
    return [plan if isinstance(plan, PlumblineError) else next(each) for plan in plans]


def _plans(
    scene: bpy.types.Scene,
    rigs: Sequence[bpy.types.Object],
    props: Sequence[bpy.types.Object] | None,
    bones: Sequence[str],
    first: int,
) -> list[RigPlan | PlumblineError]:
    plans: list[RigPlan | PlumblineError] = []
    named = Counter(rig.name for rig in rigs)
    for rig, wanted in zip(rigs, share_points(scene, rigs), strict=True):
        name = rig.name if named[rig.name] == 1 else rig.name_full
        there = [bone for bone in bones if rig.pose is not None and bone in rig.pose.bones]
        wanted = list(dict.fromkeys([*wanted, *(Wanted(rig, bone) for bone in there)]))
        try:
            plans.append(plan_rig(scene, rig, props, first=first, name=name, wanted=wanted))
        except PlumblineError as error:
            plans.append(error)
    return plans


def _sampling(
    scene: bpy.types.Scene,
    plans: Sequence[RigPlan],
    props: Sequence[bpy.types.Object] | None,
    bones: Sequence[str],
    frames: range,
    seconds: float,
    note: Note | None,
) -> Steps:
    reader = ShotReader(scene, plans, frames)
    verdict = reader.verdict
    if not verdict.temporary_does:
        if bpy.app.background:
            return reader.read_for_real()
        if verdict.only_here:
            raise PlumblineError(
                f"{verdict.why}, expected drivers that a second Blender can run: save the file "
                "and check it headless with --allow-scripts."
            )
        rigs = [plan.rig for plan in plans]
        span = (frames[0], frames[-1])
        asking = sampling_in_child(
            scene, rigs, props, span, verdict.why, bones=bones, seconds=seconds
        )
        return (yield from saying(asking, Progress(PLANNED, SECOND)))
    held = Held(scene, reader.objects)
    yield from reading_all(reader, held, seconds)
    clips = reader.clips
    carried: list[Carried | None] = []
    for n, plan in enumerate(plans):
        yield Progress(READ + (1.0 - READ) * n / len(plans), FOLLOWING)
        held.verify()
        clip = clips[n]
        carried.append(None)
        if not isinstance(clip, PlumblineError):
            carried[n] = carried_by(scene, plan, clip)
            clips[n] = with_carried(clip, carried[n])
    if note is not None:
        note(reader, carried)
    return clips


def reading_all(reader: ShotReader, held: Held, seconds: float) -> Generator[Progress, None, None]:
    """Read what there is to read, in steps of about so many seconds; raises as above."""
    total = reader.total
    while reader.read < total:
        share = PLANNED + (READ - PLANNED) * reader.read / total
        far = f"frames {reader.read} of {total}" if reader.read else f"{total} frames"
        paused = monotonic()
        yield Progress(share, f"Reading {far}")
        paused = monotonic() - paused
        held.verify()
        reader.read_for(min(max(seconds, paused), MOST_TIMES * seconds))
