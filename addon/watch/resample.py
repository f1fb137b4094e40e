# SPDX-License-Identifier: GPL-3.0-or-later
"""Reads a shot again after keys have changed: only frames on which a curve is worth something else.

A few frames that should be as they were are read as well. Where one of them is not, to the bit, or
where anything but the keys of directly played actions has changed, all frames are read.
"""

from collections.abc import Generator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import bpy
import numpy as np

from ...analysis import Clip, PlumblineError
from ...analysis.curves import Curve
from ...analysis.in_steps import Progress
from ..causes.nudges import Carried, carried_by, middle_of, nudged_controls, with_carried
from ..sampling.added import share_points
from ..sampling.held import Held
from ..sampling.in_steps import FOLLOWING, READ, reading_all, sampling_in_steps
from ..sampling.key_numbers import Keys, keys_in
from ..sampling.reach import Reach
from ..sampling.reader import Known, RigPlan, plan_rig
from ..sampling.reading import ShotReader
from ..sampling.scene_facts import checked_range, time_stretch
from ..sampling.skeleton import Skeleton
from .direct import play_directly
from .known_curves import known_fields, with_same_curves
from .stance import driven, links_around, stance_of
from .values import Values, changed_actions, changed_samples, values_of

# So many frames that should not have changed are read again, the two middle ones among them.
SENTINELS = 4


@dataclass(frozen=True, eq=False)
class Reading:
    """All that was read of a shot, to be gone on from; its arrays are never written to.

    tells_of  what they tell of, see `ShotReader`
    stance    how the rig was set up besides its keys; nudged what its controls' nudges hang on
    sampled   how many frames were evaluated for it; curves the clip's
    """

    tells_of: tuple[Any, ...]
    arrays: Sequence[Any]
    keys: Keys
    values: Values
    stance: tuple[Any, ...]
    skeleton: Skeleton
    reach: Reach | None
    links: tuple[Any, ...] | None
    carried: Carried | None
    nudged: tuple[Any, ...]
    sampled: int
    curves: tuple[Curve, ...] = ()


Steps = Generator[Progress, None, tuple[Clip, Reading | None]]


def reading_in_steps(
    scene: bpy.types.Scene,
    rig: bpy.types.Object,
    span: tuple[float, float],
    keys: Keys,
    last: Reading | None,
    *,
    seconds: float,
) -> Steps:
    """The clip of a rig over a range, and what can be gone on from: None where another Blender has
    read it.

    keys  what plays; last what was read before, or None: then all frames are read. Raises as
    `sampling_in_steps` does, and PlumblineError where the rig has no clip.
    """
    if last is not None:
        again = yield from _again(scene, rig, span, keys, last, seconds)
        if again is not None:
            return again
    noted: list[tuple[ShotReader, list[Carried | None]]] = []
    (clip,) = yield from sampling_in_steps(
        scene,
        [rig],
        first=span[0],
        last=span[1],
        seconds=seconds,
        note=lambda *told: noted.append(told),
    )
    if isinstance(clip, PlumblineError):
        raise clip
    if not noted:
        return clip, None
    reader, (carried,) = noted[0]
    # A press may have been followed by an edit before the first step.
    keys = keys_in(scene, keys.ball)
    plan, values = reader.plans[0], values_of(keys, reader.frames)
    kept = _kept(reader, plan, clip, keys, values, stance_of(reader), carried)
    return clip, replace(kept, curves=clip.meta.curves)


def _again(
    scene: bpy.types.Scene,
    rig: bpy.types.Object,
    span: tuple[float, float],
    keys: Keys,
    last: Reading,
    seconds: float,
) -> Generator[Progress, None, tuple[Clip, Reading] | None]:
    """The same where few frames have to be read; None where all have to be."""
    first, end = checked_range(*span)
    same = keys.players == last.keys.players and keys.settings == last.keys.settings
    if not same or time_stretch(scene) != 1.0:
        return None
    values = values_of(keys, range(first, end + 1), last.values)
    changed = changed_samples(last.values, values)
    if changed is None or changed.all() or not play_directly(changed_actions(last.values, values)):
        return None
    plan = _plan(scene, rig, first, keys, values, last)
    reader = ShotReader(scene, [plan], values.frames)
    stance = stance_of(reader)
    if reader.tells_of != last.tells_of or stance != last.stance:
        return None
    for array, known in zip(reader.arrays, last.arrays, strict=True):
        array[:] = known
    sentinels = sentinels_of(changed)
    reader.choose([*sentinels, *np.flatnonzero(changed).tolist()])
    held = Held(scene, reader.objects)
    yield from reading_all(reader, held, seconds)
    if not _are_same(reader.arrays, last.arrays, sentinels):
        return None
    clip = reader.clips[0]
    if isinstance(clip, PlumblineError):
        raise clip
    carried = last.carried
    if changed[list(middle_of(len(changed)))].any() or _nudged(plan, clip) != last.nudged:
        yield Progress(READ, FOLLOWING)
        held.verify()
        carried = carried_by(scene, plan, clip)
    kept = _kept(reader, plan, clip, keys, values, stance, carried)
    clip = with_same_curves(with_carried(clip, carried), last.curves)
    return clip, replace(kept, curves=clip.meta.curves)


def _plan(
    scene: bpy.types.Scene,
    rig: bpy.types.Object,
    first: int,
    keys: Keys,
    values: Values,
    last: Reading,
) -> RigPlan:
    """What to read; what is known of it is found out again only where it may have changed."""
    (wanted,) = share_points(scene, [rig])
    links = links_around(last.reach, keys)
    reach = last.reach if links is not None and links == last.links else None
    fields = known_fields(rig, keys, values, last.values, last.curves)
    known = Known(reach, last.skeleton, fields)
    return plan_rig(scene, rig, first=first, name=rig.name, wanted=wanted, known=known)


def sentinels_of(changed: Any) -> list[int]:
    """A few samples that are not among the changed (T,): the ends, the middle or some between."""
    still = np.flatnonzero(~changed)
    middle = {n for n in middle_of(len(changed)) if n < len(changed) and not changed[n]}
    spread = np.linspace(0, len(still) - 1, min(SENTINELS - len(middle), len(still)))
    return sorted({*still[spread.astype(int)].tolist(), *middle})


def _are_same(arrays: Sequence[Any], known: Sequence[Any], samples: list[int]) -> bool:
    """Whether these samples hold the same bits."""
    return all(
        one[samples].tobytes() == other[samples].tobytes()
        for one, other in zip(arrays, known, strict=True)
    )


def _nudged(plan: RigPlan, clip: Clip) -> tuple[Any, ...]:
    """What nudging controls hangs on besides the poses of the middle frames and the stance."""
    turns = plan.rig.matrix_world.median_scale
    # A driven channel is nudged from where it stands on the frame that is shown.
    shown = None if plan.is_plain or not driven(plan.rig) else _pose_shown(plan.rig)
    lengths = b"" if clip.lengths is None else clip.lengths.tobytes()
    return tuple(nudged_controls(plan)), lengths, turns, shown


def _pose_shown(rig: bpy.types.Object) -> tuple[Any, ...]:
    bones = rig.pose.bones
    return tuple(
        tuple(getattr(bones[bone], prop)) for prop, bone, _n in driven(rig) if bone in bones
    )


def _kept(
    reader: ShotReader,
    plan: RigPlan,
    clip: Clip,
    keys: Keys,
    values: Values,
    stance: tuple[Any, ...],
    carried: Carried | None,
) -> Reading:
    return Reading(
        tells_of=reader.tells_of,
        arrays=tuple(reader.arrays),
        keys=keys,
        values=values,
        stance=stance,
        skeleton=plan.skeleton,
        reach=plan.reach,
        links=links_around(plan.reach, keys),
        carried=carried,
        nudged=_nudged(plan, clip),
        sampled=reader.total,
    )
