# SPDX-License-Identifier: GPL-3.0-or-later
"""Reads the frames of a shot: all its rigs, what bears them and the camera, in one pass."""

from collections.abc import Sequence
from math import inf
from time import monotonic
from typing import Any

import bpy
import numpy as np

from ...analysis import Clip, PlumblineError
from .cameras import camera_matrices, plan_cameras
from .clips import make_clip
from .exactness import judge
from .reader import RigPlan, RigReader
from .stages import Corner, Stage, real_stage, temporary_stage
from .supports import SupportReader, plan_supports


class ShotReader:
    """Arrays of all frames that fill up: call `read_for` until `read` is `total`.

    verdict   whether a temporary scene does, see `exactness`
    plans     of each rig
    read      how many frames are read, of those that are to be
    clips     once all are: a clip a plan, or why there is none
    """

    clips: list[Clip | PlumblineError]

    def __init__(self, scene: bpy.types.Scene, plans: Sequence[RigPlan], frames: range) -> None:
        self.plans = tuple(plans)
        self.frames, self.read = frames, 0
        self._order: Sequence[int] = range(len(frames))
        self._scene = scene
        self._cameras = plan_cameras(scene, frames)
        self._supports = SupportReader(plan_supports(scene), frames)
        self._readers = [RigReader(plan, len(frames)) for plan in plans]
        self._views = np.zeros((len(frames), 2, 4, 4))
        posed = [plan.rig for plan in plans if not plan.is_plain]
        posed += self._cameras.cameras if self._cameras else ()
        self._posed = list(dict.fromkeys([*posed, *self._supports.rigs]))
        placed, self._corners = _besides(plans)
        self._placed = list(dict.fromkeys([*placed, *self._supports.placed]))
        self._plain = [plan.rig for plan in plans if plan.is_plain]
        at_corners = [item for item, _vertex in self._corners]
        self.verdict = judge(scene, [*self._posed, *at_corners], self._placed)

    @property
    def total(self) -> int:
        """How many frames are to be read."""
        return len(self._order)

    def choose(self, samples: Sequence[int]) -> None:
        """Read these alone, in this order; the others stay as they are (`arrays`)."""
        self._order, self.read = samples, 0

    @property
    def arrays(self) -> list[Any]:
        """(T,...) all that is read frame by frame, to be read and written to."""
        found = [array for reader in self._readers for array in reader.arrays]
        return [*found, self._supports.worlds, self._views]

    @property
    def tells_of(self) -> tuple[Any, ...]:
        """What the arrays tell of, in plain values: two that are equal hold the same things."""
        cameras = self._cameras
        numbers = [] if cameras is None else [each.session_uid for each in cameras.cameras]
        return (
            (self._scene.session_uid, self.frames, self.verdict),
            (tuple(numbers), None if cameras is None else cameras.active.tobytes()),
            tuple((each.item.session_uid, each.bone) for each in self._supports.supports),
            tuple(_told(reader.plan) for reader in self._readers),
        )

    @property
    def objects(self) -> list[bpy.types.Object]:
        """All objects that are read."""
        at_corners = (item for item, _vertex in self._corners)
        found = [*self._plain, *self._posed, *self._placed, *at_corners]
        return list(dict.fromkeys(found))

    def read_for(self, seconds: float) -> None:
        """Read frames in a temporary scene: one, and then others for so many seconds.

        What it takes to make the scene does not count, or a slow one would give a frame a step.
        """
        with temporary_stage(
            self._scene,
            self._posed,
            placed=self._placed,
            corners=self._corners,
            copied=bool(self.verdict.why),
        ) as stage:
            self._read(stage, seconds)

    def read_for_real(self) -> list[Clip | PlumblineError]:
        """Read all frames in the scene itself: only for a process that owns its file."""
        with real_stage(
            self._scene,
            self._posed,
            placed=self._placed,
            corners=self._corners,
            run_in_from=self.verdict.run_in_from,
        ) as stage:
            stage.run_in(self.frames[0])
            self._read(stage, inf)
        return self.clips

    def _read(self, stage: Stage, seconds: float) -> None:
        self._read_next(stage)
        until = monotonic() + seconds
        while self.read < self.total and monotonic() < until:
            self._read_next(stage)
        if self.read == self.total:
            self.clips = [self._clip(reader, stage) for reader in self._readers]

    def _read_next(self, stage: Stage) -> None:
        at = self._order[self.read]
        depsgraph = stage.go(self.frames[at])
        for reader in self._readers:
            reader.read(at, depsgraph, stage.corners)
        self._supports.read(at, depsgraph)
        if self._cameras is not None:
            camera = self._cameras.cameras[self._cameras.active[at]]
            self._views[at] = camera_matrices(camera, depsgraph, self._scene)
        self.read += 1

    def _clip(self, reader: RigReader, stage: Stage) -> Clip | PlumblineError:
        scene, supports, views = self._scene, self._supports, self._views
        try:
            return make_clip(
                scene, reader, self._cameras, views, supports, self.frames, stage.resting
            )
        except PlumblineError as error:
            return error


def _told(plan: RigPlan) -> tuple[Any, ...]:
    """What the arrays of a rig tell of, in plain values."""
    return (
        plan.rig.session_uid,
        (plan.skeleton.bones, plan.skeleton.joints),
        plan.controls,
        plan.channels,
        tuple(prop.item.session_uid for prop in plan.props),
        tuple((each.wanted.item.session_uid, each.wanted.vertex) for each in plan.added),
    )


def _besides(plans: Sequence[RigPlan]) -> tuple[list[Any], list[Corner]]:
    """Objects whose transforms are needed besides the rigs, and vertices, of all plans."""
    wanted = [each.wanted for plan in plans for each in plan.added]
    placed = [prop.item for plan in plans for prop in plan.props]
    placed += [point.item for point in wanted if point.vertex < 0]
    return placed, [(point.item, point.vertex) for point in wanted if point.vertex >= 0]
