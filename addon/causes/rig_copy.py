# SPDX-License-Identifier: GPL-3.0-or-later
"""A copy of a rig with keys of its own, which shows how it would stand if channels took others.

The copy has the rig's constraints and drivers and none of its animation: all keyed channels have
their final values as plain keys, as the clip holds them or as a trial wants them. So it does not
matter whether they come from actions, slots, layers or blended strips. It stands alone in a
temporary scene; copy and scene are gone when the block ends.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import bpy
import numpy as np

from ...analysis import Clip, PlumblineError
from ...analysis import quaternions as quat
from ...analysis.trials import Posed, Trial
from ..sampling.clips import placed_matrices
from ..sampling.exactness import judge
from ..sampling.reader import RigPlan, RigReader
from ..sampling.scene_facts import check_posed, metres_per_unit, time_stretch
from ..sampling.stages import Stage, temporary_stage
from .baked import BakedKeys
from .copies import copied_closure, plain_copy, reads_original, take_keys_off

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
    with plain_copy(plan.rig) as copy, _asked(scene, plan, copy, clip, copied) as asked:
        if not reads_original(asked.depsgraph, plan.rig):
            yield _faithful(asked)
            return
    with copied_closure(plan.rig) as copy, _asked(scene, plan, copy, clip, copied) as asked:
        yield _faithful(asked)


@contextmanager
def _asked(
    scene: bpy.types.Scene, plan: RigPlan, copy: bpy.types.Object, clip: Clip, copied: bool
) -> Iterator["RigCopy"]:
    """The copy on a stage, under its own keys; of a plain object only the place counts."""
    take_keys_off(copy)
    names, values = clip.channels, clip.channel_values
    values = np.zeros((len(clip.frames), 0)) if values is None else values
    times = clip.frames / time_stretch(scene)
    keys = BakedKeys(copy, plan.channels, names, times, values)
    shown, placed = ((), (copy,)) if plan.is_plain else ((copy,), ())
    try:
        with temporary_stage(scene, shown, placed=placed, copied=copied) as stage:
            yield RigCopy(stage, plan, copy, clip, keys, metres_per_unit(scene))
    finally:
        bpy.data.batch_remove([keys.action])


class RigCopy:
    """Answers trials, one after the other, in any order.

    evaluated   frames that were evaluated so far
    begun       how it stands without a trial, on the clip's first, middle and last sample
    """

    begun: Posed

    def __init__(
        self,
        stage: Stage,
        plan: RigPlan,
        copy: bpy.types.Object,
        clip: Clip,
        keys: BakedKeys,
        unit: float,
    ) -> None:
        self.evaluated = 0
        self.clip, self.name = clip, plan.name
        self._stage, self._keys, self._unit = stage, keys, unit
        props = tuple(replace(each, item=copy) for each in plan.props) if plan.is_plain else ()
        self._plan = replace(plan, rig=copy, channels=(), props=props, added=())
        self.depsgraph = self._go(0)

    def pose(self, trial: Trial) -> Posed:
        """How the figure stands on the trial's samples.

        The joints are the rig's bones among the clip's; for a plain object that object. Raises
        PlumblineError where the trial names channels that the clip does not have.
        """
        unknown = [name for name in trial.channels if name not in self.clip.channels]
        if unknown:
            raise PlumblineError(
                f"{unknown[0]!r} is no channel of {self.name!r}, expected one that is keyed: "
                "check again."
            )
        samples = np.asarray(trial.samples, dtype=np.int64)
        reader = RigReader(self._plan, len(samples))
        self._keys.take(samples, trial.channels, trial.values)
        for at, sample in enumerate(samples.tolist()):
            reader.read(at, self._go(sample), {})
        self._keys.put_back(trial.channels)
        posed, controls = placed_matrices(reader, self._unit)
        return Posed(
            samples=samples,
            joints=np.arange(posed.shape[1], dtype=np.int64),
            positions=posed[:, :, :3, 3],
            rotations=quat.from_matrices(posed),
            controls=controls,
        )

    def _go(self, sample: int) -> bpy.types.Depsgraph:
        frame = float(self.clip.frames[sample])
        whole = int(np.floor(frame))
        self.evaluated += 1
        return self._stage.go(whole, frame - whole)


def _faithful(copy: RigCopy) -> RigCopy:
    """The copy, if it stands as the clip does on the first, the middle and the last frame.

    It does not where something is animated that is no channel of the clip, or where the rig
    itself was changed since. Raises PlumblineError then.
    """
    clip = copy.clip
    last = len(clip.frames) - 1
    samples = np.unique([0, last // 2, last])
    posed = copy.pose(Trial(samples, (), np.zeros((len(samples), 0))))
    off = np.abs(posed.positions - clip.positions[np.ix_(samples, posed.joints)]).max(initial=0.0)
    if not off <= FAITHFUL_M:
        raise PlumblineError(
            f"a copy of {copy.name!r} does not stand where the rig does, expected all that moves "
            "it to be keyed in plain channels: causes are told from its keys alone."
        )
    copy.begun = posed
    return copy
