# SPDX-License-Identifier: GPL-3.0-or-later
"""Stuck turns: a part keeps one orientation for some frames and then turns fast into another.

A foot that stands on the floor while it would be frozen keeps its orientation by right, and is
left alone there.
"""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from ..case import Case
from ..figure import channels_of, rebuild
from ..moves import Target, any_side, target, with_staff
from ..planted import Kind, Planted
from ..resting import stands
from ..timing import blend, without_curves
from . import MOTION

Floats = NDArray[np.float64]

EDGE = 6
# Frozen for so many frames, caught up within so many.
FROZEN, CAUGHT_UP = (3, 8), (1, 2)
# A burst of a size is one of that to so many times more.
BAND = 1.4
# A foot that stands over more than this share of the frozen steps is planted.
STANDS = 0.5
# Joints that hang rigidly on another are turned by that.
RIGID_ON = {"head": "neck"}


def plant_turn(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A burst of `size` degrees, after the part was frozen in the world or on its parent."""
    clip = case.clip
    if part == "prop" and not clip.meta.props:
        clip = with_staff(clip, str(rng.choice(["L", "R"])))
    shown = any_side(clip, part, rng)
    if shown is None:
        return None
    frozen = int(rng.integers(FROZEN[0], FROZEN[1] + 1))
    caught_up = int(rng.integers(CAUGHT_UP[0], CAUGHT_UP[1] + 1))
    turned = target(clip, RIGID_ON.get(part, "")) or shown
    space = str(rng.choice(["world", "parent"]))
    turns = _turns(clip, turned, space)
    starts = np.arange(EDGE, max(len(turns) - EDGE - frozen - caught_up, EDGE))
    burst = _angle_deg(turns[starts], turns[starts + frozen + caught_up])
    fits = np.flatnonzero((burst >= size) & (burst < BAND * size))
    if len(fits) == 0:
        return None
    at = int(starts[rng.choice(fits)])
    stuck = _stuck(clip, turned, turns, at, frozen, caught_up, space)
    if part == "foot" and np.mean(stands(stuck, shown)[at : at + frozen]) > STANDS:
        return None
    return Planted(
        clip=without_curves(stuck),
        check="stuck_turn",
        part=shown.part,
        carriers=tuple(dict.fromkeys((shown.part, turned.part))),
        frames=(float(clip.frames[at]), float(clip.frames[at + frozen + caught_up])),
        size=float(burst[at - EDGE]),
        where=f"{frozen} frames frozen in its {space}, caught up in {caught_up}",
    )


def _turns(clip: Clip, turned: Target, space: str) -> Floats:
    """(T,4) orientation in the world, or against the parent."""
    if space == "world":
        return clip.rotations[:, turned.joint]
    return channels_of(clip).turns[:, turned.joint]


def _stuck(
    clip: Clip, turned: Target, turns: Floats, at: int, frozen: int, caught_up: int, space: str
) -> Clip:
    wanted = turns.copy()
    wanted[at : at + frozen + 1] = turns[at]
    for n in range(1, caught_up):
        end = at + frozen + caught_up
        wanted[at + frozen + n] = blend(turns[[at]], turns[[end]], np.array([n / caught_up]))[0]
    if space == "parent" and clip.parents[turned.joint] >= 0:
        wanted = quat.multiply(clip.rotations[:, clip.parents[turned.joint]], wanted)
    extra = quat.multiply(wanted, quat.conjugate(clip.rotations[:, turned.joint]))
    extra[np.linalg.norm(extra[:, 1:], axis=1) < 1e-9] = [1.0, 0.0, 0.0, 0.0]
    return rebuild(clip, turned.joint, turn=extra)


def _angle_deg(a: Floats, b: Floats) -> Floats:
    """(N,) angles in degrees between rotations (N,4)."""
    return np.degrees(2.0 * np.arccos(np.clip(np.abs(np.sum(a * b, axis=-1)), 0.0, 1.0)))


_PARTS = ("head", "hand", "foot", "prop")

KINDS = (
    Kind(
        name="stuck_turn",
        check="stuck_turn",
        says="frozen 3 to 8 frames in world or on parent, then a snap; feet in the air",
        unit="deg",
        sizes=dict.fromkeys(_PARTS, (5.0, 7.0, 10.0, 20.0)),
        promised=dict.fromkeys(_PARTS, (7.0, 7.0)),
        sets=MOTION,
        plant=plant_turn,
    ),
)
