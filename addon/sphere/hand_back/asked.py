# SPDX-License-Identifier: GPL-3.0-or-later
"""What is to be handed back, and on which frames it is looked at."""

from dataclasses import dataclass
from math import inf
from typing import Any

import bpy
import numpy as np

from ....analysis import Clip, PlumblineError
from ...sampling.reader import RigPlan, plan_rig
from ...sampling.reading import ShotReader
from ...sampling.scene_facts import MOST_FRAMES, frame_range, time_stretch
from ..path import ball_path
from .ball import SAME_FRAME, BallCurves, ball_curves
from .control import Control, control_of, turning
from .refusals import refuse

BALL, EVERY = "BALL", "EVERY"


@dataclass(frozen=True, eq=False)
class Asked:
    """times (N,)    frames of animation to look at; frames (N,) the same of the scene
    exact (N,)     those on which the ball's place is to be met; turned (N,) its turn
    inside (N,)    those in the range of the ball's location keys; whole (N,) whole scene frames
    clip           the figure as it is before; plan: how it is read
    copied         whether a temporary scene has to be a copy, see `exactness`
    """

    scene: bpy.types.Scene
    sphere: bpy.types.Object
    rig: bpy.types.Object
    control: Control
    ball: BallCurves
    turn: BallCurves | None
    keys: str
    into: str
    times: Any
    frames: Any
    exact: Any
    turned: Any
    inside: Any
    whole: Any
    plan: RigPlan
    clip: Clip
    copied: bool

    @property
    def span(self) -> tuple[float, float]:
        """The first and the last frame of animation."""
        return float(self.times[0]), float(self.times[-1])

    @property
    def looked_at(self) -> tuple[float, float]:
        """Frames of animation that anybody looks at: the scene's, the preview's and the ball's."""
        scene, (first, last) = self.scene, self.span
        stretch = time_stretch(scene)
        ends = [*frame_range(scene), scene.frame_start, scene.frame_end]
        return min(first, min(ends) / stretch), max(last, max(ends) / stretch)


def ask(
    scene: bpy.types.Scene,
    sphere: bpy.types.Object,
    rig: bpy.types.Object,
    *,
    keys: str,
    into: str,
    rotation: bool,
) -> Asked:
    """Read what there is to read; raises PlumblineError where something stands against it."""
    ball_path(scene, sphere, [0.0])  # refuses a ball that has no keys of its own
    ball = ball_curves(sphere, "location")
    turn = ball_curves(sphere, turning(sphere)) if rotation else None
    stretch = time_stretch(scene)
    known = ball.times if turn is None else np.concatenate((ball.times, turn.times))
    plan, clip, copied = _before(scene, rig, stretch * known.min(), stretch * known.max())
    control = control_of(scene, sphere, rig)
    refuse(rig, control, into, turned=rotation)
    times = _samples(known, stretch)
    frames = stretch * times
    whole = np.abs(frames - np.round(frames)) < SAME_FRAME
    return Asked(
        scene=scene,
        sphere=sphere,
        rig=rig,
        control=control,
        ball=ball,
        turn=turn,
        keys=keys,
        into=into,
        times=times,
        frames=frames,
        exact=_exact(times, ball, whole, keys),
        turned=np.zeros(len(times), bool) if turn is None else _exact(times, turn, whole, keys),
        inside=_inside(times, ball),
        whole=whole,
        plan=plan,
        clip=clip,
        copied=copied,
    )


def _before(
    scene: bpy.types.Scene, rig: bpy.types.Object, first: float, last: float
) -> tuple[RigPlan, Clip, bool]:
    """How the rig is read, how it moves over the scene frames, and whether in a copy."""
    start, end = int(np.floor(first + SAME_FRAME)), int(np.ceil(last - SAME_FRAME))
    frames = range(start, max(end, start + 1) + 1)
    if len(frames) > MOST_FRAMES:
        raise PlumblineError(
            f"the ball's keys span {len(frames)} frames, expected {MOST_FRAMES} at most: delete "
            "the keys that lie far off."
        )
    plan = plan_rig(scene, rig, (), first=frames[0], name=rig.name)
    reader = ShotReader(scene, [plan], frames)
    if not reader.verdict.temporary_does:
        raise PlumblineError(
            f"{reader.verdict.why}, expected a rig that a copy can stand in for: a hand back is "
            "tried on a copy before anything is changed."
        )
    reader.read_for(inf)
    (clip,) = reader.clips
    if isinstance(clip, PlumblineError):
        raise clip
    return plan, clip, bool(reader.verdict.why)


def _samples(known: Any, stretch: float) -> Any:
    """(N,) frames of animation: those of the keys, and all whole frames of the scene between."""
    first, last = stretch * known.min(), stretch * known.max()
    whole = np.arange(np.ceil(first - SAME_FRAME), last + SAME_FRAME) / stretch
    far = [np.abs(known - each).min() >= SAME_FRAME for each in whole]
    times = np.sort(np.concatenate((known, whole[far])))
    return times[np.concatenate(([True], np.diff(times) >= SAME_FRAME))]


def _exact(times: Any, curves: BallCurves, whole: Any, keys: str) -> Any:
    """(N,) whether a sample gets a key: the ball's keys, or all whole frames and the ends."""
    wanted = curves.times if keys == BALL else curves.times[[0, -1]]
    near = np.array([np.abs(wanted - each).min() < SAME_FRAME for each in times])
    return near if keys == BALL else near | (whole & _inside(times, curves))


def _inside(times: Any, curves: BallCurves) -> Any:
    first, last = curves.times[0] - SAME_FRAME, curves.times[-1] + SAME_FRAME
    return (times >= first) & (times <= last)
