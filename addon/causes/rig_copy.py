# SPDX-License-Identifier: GPL-3.0-or-later
"""A copy of a rig without keys, which shows how it would stand if channels took other values.

The copy has the rig's constraints and drivers and none of its animation: on every frame the final
values of all keyed channels are written into it, as the clip holds them or as a trial wants them.
So it does not matter whether they come from actions, slots, layers or blended strips. It stands
alone in a temporary scene; copy and scene are gone when the block ends.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import bpy
import numpy as np

from ...analysis import Clip, PlumblineError
from ...analysis import quaternions as quat
from ...analysis.trials import Posed, Trial
from ..sampling.clips import placed_matrices
from ..sampling.exactness import judge
from ..sampling.probes import NAME
from ..sampling.reader import RigPlan, RigReader
from ..sampling.scene_facts import check_posed, metres_per_unit
from ..sampling.stages import Stage, temporary_stage
from .channel_writer import ChannelWriter
from .closure import copied_closure, reads_original

# A copy that is further off than this on a frame as it was sampled does not answer for the rig.
FAITHFUL_M = 1e-4


@contextmanager
def rig_copy(scene: bpy.types.Scene, plan: RigPlan, clip: Clip) -> Iterator["RigCopy"]:
    """A copy of the plan's rig that answers trials about the clip that was sampled of it.

    Nothing of it is left when the block ends, and nothing of the user's changes meanwhile; all of
    it has to happen within one event. Raises PlumblineError, one sentence, where poses depend on
    what only the scene itself can give, or the copy does not stand as the clip does.
    """
    check_posed(plan.rig)
    verdict = judge(scene, [plan.rig])
    if not verdict.temporary_does:
        raise PlumblineError(
            f"{verdict.why}, expected a rig that a copy can stand in for: causes are told from "
            "its keys alone."
        )
    copied = bool(verdict.why)
    with _plain_copy(plan.rig) as copy, _stage(scene, copy, copied) as stage:
        if not reads_original(stage.go(round(float(clip.frames[0]))), plan.rig):
            yield _faithful(RigCopy(stage, plan, copy, clip, metres_per_unit(scene)))
            return
    with copied_closure(plan.rig) as copy:
        take_keys_off(copy)
        with _stage(scene, copy, copied) as stage:
            yield _faithful(RigCopy(stage, plan, copy, clip, metres_per_unit(scene)))


class RigCopy:
    """Answers trials, one after the other, in any order.

    evaluated   frames that were evaluated so far
    """

    def __init__(
        self, stage: Stage, plan: RigPlan, copy: bpy.types.Object, clip: Clip, unit: float
    ) -> None:
        self.evaluated = 0
        self.name = plan.name
        self._stage, self._clip, self._unit = stage, clip, unit
        props = tuple(replace(each, item=copy) for each in plan.props) if plan.is_plain else ()
        self._plan = replace(plan, rig=copy, channels=(), props=props, added=())
        self._writer = ChannelWriter(copy, plan.channels, clip.channels)

    def pose(self, trial: Trial) -> Posed:
        """How the figure stands on the trial's samples.

        The joints are the rig's bones among the clip's; for a plain object that object. Raises
        PlumblineError where the trial names channels that the clip does not have.
        """
        samples = np.asarray(trial.samples, dtype=np.int64)
        reader = RigReader(self._plan, len(samples))
        for at, values in enumerate(self._values(trial, samples)):
            self._writer.write(values)
            frame = float(self._clip.frames[samples[at]])
            whole = int(np.floor(frame))
            reader.read(at, self._stage.go(whole, frame - whole), {})
        self.evaluated += len(samples)
        posed, controls = placed_matrices(reader, self._unit)
        return Posed(
            samples=samples,
            joints=np.arange(posed.shape[1], dtype=np.int64),
            positions=posed[:, :, :3, 3],
            rotations=quat.from_matrices(posed),
            controls=controls,
        )

    def _values(self, trial: Trial, samples: Any) -> Any:
        """(N,K) of the clip's channels: its own values but for what the trial wants."""
        names = self._clip.channels
        unknown = [name for name in trial.channels if name not in names]
        if unknown:
            raise PlumblineError(
                f"{unknown[0]!r} is no channel of {self.name!r}, expected one that is keyed: "
                "check again."
            )
        values = self._clip.channel_values
        own = np.zeros((len(samples), 0)) if values is None else values[samples].copy()
        own[:, [names.index(name) for name in trial.channels]] = trial.values
        return own


def take_keys_off(copy: bpy.types.Object) -> None:
    """Free a copy of its action and strips; its drivers stay.

    They may not be taken off and put back: before 4.5 drivers that stay can go wrong then.
    """
    data = copy.animation_data
    if data is None:
        return
    if data.use_tweak_mode:
        data.use_tweak_mode = False
    data.use_nla = False
    if data.action is not None:
        data.action = None
    for track in list(data.nla_tracks):
        data.nla_tracks.remove(track)


@contextmanager
def _plain_copy(rig: bpy.types.Object) -> Iterator[bpy.types.Object]:
    """The object alone, sharing the rig's bones; what named the rig in it names the copy.

    Of an override Blender counts one user more of what it overrides, until the file is opened anew.
    """
    copy = rig.copy()
    try:
        copy.name = NAME
        take_keys_off(copy)
        yield copy
    finally:
        bpy.data.batch_remove([copy])


@contextmanager
def _stage(scene: bpy.types.Scene, copy: bpy.types.Object, copied: bool) -> Iterator[Stage]:
    """A temporary scene with the copy; of a plain object only the place counts."""
    copy.hide_viewport = False
    plain = copy.type != "ARMATURE"
    shown, placed = ((), (copy,)) if plain else ((copy,), ())
    with temporary_stage(scene, shown, placed=placed, copied=copied) as stage:
        yield stage


def _faithful(copy: RigCopy) -> RigCopy:
    """The copy, if it stands as the clip does on the first, the middle and the last frame.

    It does not where something is animated that is no channel of the clip, or where the rig
    itself was changed since. Raises PlumblineError then.
    """
    clip = copy._clip
    last = len(clip.frames) - 1
    samples = np.unique([0, last // 2, last])
    posed = copy.pose(Trial(samples, (), np.zeros((len(samples), 0))))
    off = np.abs(posed.positions - clip.positions[np.ix_(samples, posed.joints)]).max(initial=0.0)
    if not off <= FAITHFUL_M:
        raise PlumblineError(
            f"a copy of {copy.name!r} does not stand where the rig does, expected all that moves "
            "it to be keyed in plain channels: causes are told from its keys alone."
        )
    return copy
