# SPDX-License-Identifier: GPL-3.0-or-later
"""One step of a walk in which the body travels further than the others: it floats on.

The body is carried on between the middles of two plants, the foot that swings lands further by as
much, all that follows goes with it, and the hips come down as far as the legs need it. The foot
that bears stays where it is.
"""

import itertools

import numpy as np
from numpy.typing import NDArray

from analysis import Clip, Settings
from analysis.basis import build_basis
from analysis.basis.contacts import Plant

from ..case import Case
from ..figure import rebuild
from ..moves import height_of, keep_feet, target
from ..planted import Kind, Planted
from ..resting import sole_of
from ..timing import smooth_step, without_curves

Floats = NDArray[np.float64]

# So many steps before and after stay as they are.
LEAST_OTHERS = 2
# The hips come down by so much of the height, the least that the legs reach with; feet are then
# where they are to be, to this share of it.
LOWER, STAYS = (0.0, 0.01, 0.02, 0.03, 0.045, 0.06), 0.003


def plant_step(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A step of a walk that goes `size` per cent further."""
    clip = case.clip
    plants = _in_turn(clip)
    if len(plants) < 2 * LEAST_OTHERS + 2:
        return None
    at = int(rng.integers(LEAST_OTHERS, len(plants) - LEAST_OTHERS - 1))
    middles = [(plant.first + plant.last) // 2 for plant in plants[at : at + 2]]
    places = [_sole(clip, plants[at + n].side)[middles[n]] for n in (0, 1)]
    way = (places[1] - places[0]) * [1.0, 1.0, 0.0]
    further = size / 100.0 * way
    for lower in LOWER:
        made = _travelled(clip, plants, at, further, lower * height_of(clip))
        if made is not None:
            return Planted(
                clip=without_curves(made),
                check="carry",
                part="root",
                carriers=("root",),
                frames=(float(clip.frames[middles[0]]), float(clip.frames[middles[1]])),
                size=size,
                where=f"step {at} of {len(plants) - 1}, hips {100.0 * lower:.1f} % lower",
                whole=True,
            )
    return None


def _in_turn(clip: Clip) -> list[Plant]:
    """The plants of a walk, in time's order; none where the feet do not stand in turn."""
    plants = sorted(build_basis(clip, Settings()).plants, key=lambda plant: plant.first)
    turn = all(a.side != b.side for a, b in itertools.pairwise(plants))
    return plants if turn else []


def _sole(clip: Clip, side: str) -> Floats:
    foot = target(clip, f"foot.{side}")
    assert foot is not None
    return sole_of(clip, foot).mean(axis=1)


def _travelled(
    clip: Clip, plants: list[Plant], at: int, further: Floats, lower_m: float
) -> Clip | None:
    """The walk with one step that goes on by `further` (3,); None where the legs do not reach."""
    count = len(clip.frames)
    time = np.arange(count, dtype=np.float64)
    first, last = ((each.first + each.last) / 2.0 for each in plants[at : at + 2])
    u = np.clip((time - first) / (last - first), 0.0, 1.0)
    shift = smooth_step(u)[:, None] * further
    shift[:, 2] -= lower_m * np.sin(np.pi * u) ** 2
    root = target(clip, "root")
    assert root is not None
    wanted = clip
    for side in "LR":
        foot = target(clip, f"foot.{side}")
        assert foot is not None
        goes = _swing(plants, at, side, time)[:, None] * further
        wanted = rebuild(wanted, foot.joint, shift=goes)
    made = keep_feet(wanted, rebuild(clip, root.joint, shift=shift))
    off = [np.linalg.norm(_sole(made, s) - _sole(wanted, s), axis=-1).max() for s in "LR"]
    return made if max(off) <= STAYS * height_of(clip) else None


def _swing(plants: list[Plant], at: int, side: str, time: Floats) -> Floats:
    """(T,) 0 to 1 over the swing in which a foot goes further: the one that ends the step, and
    the next one of the foot that bore it."""
    lands = at + 1 if plants[at + 1].side == side else at + 2
    start, end = plants[lands - 2].last, plants[lands].first
    return smooth_step((time - start) / max(end - start, 1))


KINDS = (
    Kind(
        name="step_travel",
        check="carry",
        says="one step of a walk in which the body travels further, and the feet with it",
        unit="%",
        sizes={"root": (15.0, 25.0)},
        promised={"root": (25.0, 25.0)},
        sets=("walks_24", "walks_30"),
        plant=plant_step,
    ),
)
