# SPDX-License-Identifier: GPL-3.0-or-later
"""Limbs that stretch to a goal beyond their reach, and IK targets that leave their limb there."""

from dataclasses import replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from ..case import Case
from ..figure import rebuild
from ..moves import LIMBS, Target, any_side, height_of, reach, target
from ..planted import Kind, Planted
from ..timing import without_curves
from . import MOTION, STORY_M
from .limbs import Beyond, beyond_reach, leg_of

Floats = NDArray[np.float64]

# How far from the ankle or wrist a control may be, in its own axes: a share of the height.
CONTROL_SHARE = 0.05
CONTROL = "ik_target"


def plant_stretch(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A limb that stretches by `size` per cent at most, as rigs do that may: its end goes on to a
    goal beyond its reach."""
    clip = case.clip
    shown = any_side(clip, part, rng)
    if shown is None:
        return None
    length = float(leg_of(clip, shown).length.mean())
    goal = beyond_reach(clip, shown, size / 100.0 * length, rng)
    if goal is None:
        return None
    moved = _longer(without_curves(reach(clip, shown, goal.shift)), goal)
    share = leg_of(moved, shown).length / goal.leg.length - 1.0
    return _planted(clip, moved, shown, goal, 100.0 * float(share.max()), "stretched")


def plant_left(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """An IK target that leaves a hand or foot by `size` cm (at 1.7 m) at most; the clip holds
    the target, which has its own axes some way from the joint."""
    clip = case.clip
    shown = any_side(clip, part, rng)
    if shown is None:
        return None
    goal = beyond_reach(clip, shown, size / 100.0 * height_of(clip) / STORY_M, rng)
    if goal is None:
        return None
    moved = reach(clip, shown, goal.shift)
    away = clip.positions[:, shown.joint] + goal.shift - moved.positions[:, shown.joint]
    most = float(np.linalg.norm(away, axis=-1).max()) * 100.0 * STORY_M / height_of(clip)
    offset = rng.normal(size=3) * CONTROL_SHARE * height_of(clip)
    moved = _with_target(
        without_curves(moved), shown, clip.positions[:, shown.joint] + goal.shift, offset
    )
    return _planted(clip, moved, shown, goal, most, "target moved on")


def _planted(
    clip: Clip, moved: Clip, shown: Target, goal: Beyond, size: float, where: str
) -> Planted:
    return Planted(
        clip=moved,
        check="overreach",
        part=shown.part,
        carriers=tuple(f"{name}.{shown.side}" for name in _limb(shown)),
        frames=(float(clip.frames[goal.samples[0]]), float(clip.frames[goal.samples[-1]])),
        size=size,
        where=f"{where}, {len(goal.samples)} frames",
    )


def _limb(shown: Target) -> tuple[str, ...]:
    kind = shown.part.partition(".")[0]
    return (*LIMBS[kind], kind)


def _longer(clip: Clip, goal: Beyond) -> Clip:
    """Both bones of a straight limb longer, so that its end comes to its goal."""
    shown, more = goal.leg.foot, np.maximum(goal.away, 0.0) / goal.leg.length
    leg = leg_of(clip, shown)
    upper, lower = np.diff(leg.paths, axis=1).transpose(1, 0, 2) * more[:, None]
    middle = target(clip, f"{_limb(shown)[1]}.{shown.side}")
    return rebuild(rebuild(clip, middle.joint, shift=upper), shown.joint, shift=lower)


def _with_target(clip: Clip, shown: Target, goal: Floats, offset: Floats) -> Clip:
    """The clip with the control that pulls a limb's end to (T,3)."""
    turns = clip.rotations[:, shown.joint]
    axes = np.stack(
        [quat.rotate(turns, np.broadcast_to(axis, goal.shape)) for axis in np.eye(3)], axis=-1
    )
    matrices = np.tile(np.eye(4), (len(goal), 1, 1, 1))
    matrices[:, 0, :3, :3] = axes
    matrices[:, 0, :3, 3] = goal + quat.rotate(turns, np.broadcast_to(offset, goal.shape))
    targets = MappingProxyType({shown.part: CONTROL})
    meta = replace(clip.meta, controls=(CONTROL,), targets=targets)
    return replace(clip, control_matrices=matrices, meta=meta)


KINDS = (
    Kind(
        name="limb_stretch",
        check="overreach",
        says="a limb longer than it is at rest, for a while",
        unit="%",
        sizes={"foot": (3.0, 5.0, 10.0), "hand": (3.0,)},
        promised={"foot": (3.0, 3.0)},
        sets=MOTION,
        plant=plant_stretch,
    ),
    Kind(
        name="target_leaves",
        check="overreach",
        says="an IK target that goes on beyond the limb's reach, for a while",
        unit="cm",
        sizes={"foot": (2.0, 4.0), "hand": (2.0,)},
        promised={"foot": (2.0, 2.0)},
        sets=MOTION,
        plant=plant_left,
    ),
)
