# SPDX-License-Identifier: GPL-3.0-or-later
"""Landings: a foot that slams down, and one that stands under the floor; its leg follows by IK."""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip

from ..case import Case
from ..moves import Target, any_side, height_of, reach, target
from ..plan import runs
from ..planted import Kind, Planted
from ..resting import sole_of, stands
from ..timing import smooth_step, without_curves
from . import MOTION, STORY_M

Floats = NDArray[np.float64]

# A stand that is shorter than this is none; samples at either end of a range are left alone.
SHORTEST_S, EDGE = 0.2, 4
# A sole has come down once it is this near to where it stands (.5 cm at 1.7 m); its speed is the
# mean over so long before that.
DOWN, OVER_S = 0.005 / 1.7, 0.08
# A shot tells its own speed by so many landings at least.
LANDINGS = 4
# A foot that slams hangs back in the air for so long, and gets there over as long again.
SLAM_S, LIFT_S = 0.1, 0.16
# A foot sinks and comes up over so long.
SINK_S = 0.1
# A foot that stands further off the floor than this (2 cm at 1.7 m) is not made to sink.
OFF = 0.02 / 1.7
# Share by which what is measured afterwards may differ from what was asked for.
EXACT = 0.15


def plant_stomp(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A foot that comes down `size` times as fast as the shot's others do, as the median has it."""
    clip = case.clip
    foot = any_side(clip, part, rng)
    feet = [each for side in "LR" if (each := target(clip, f"foot.{side}"))]
    speeds = {(each.part, at): v for each in feet for at, v in landings(clip, each)}
    mine = [at for name, at in speeds if foot is not None and name == foot.part]
    if foot is None or len(speeds) < LANDINGS or not mine:
        return None
    at = mine[int(rng.integers(len(mine)))]
    others = float(np.median([v for key, v in speeds.items() if key != (foot.part, at)]))
    faster = size * others - speeds[foot.part, at]
    slam = max(round(SLAM_S / clip.dt_s), 2)
    left = at - np.arange(len(clip.frames))  # frames to go until it is down
    lift = np.clip((slam + max(round(LIFT_S / clip.dt_s), 2) - left) * clip.dt_s, 0.0, None)
    share = smooth_step(lift / LIFT_S)
    up = faster * clip.dt_s * np.clip(left, 0, slam) * share
    if faster <= 0.0:
        return None
    stomped = reach(clip, foot, np.outer(up, [0.0, 0.0, 1.0]))
    found = dict(landings(stomped, foot)).get(at)
    if found is None or abs(found / others - size) > EXACT * size:
        return None
    first = max(at - slam, 0)
    return Planted(
        clip=without_curves(stomped),
        check="stomp",
        part=foot.part,
        carriers=(foot.part, foot.part.replace("foot", "toe")),
        frames=(float(clip.frames[first]), float(clip.frames[at])),
        size=found / others,
        where=f"down at {found:.2f} m/s, the others at {others:.2f}",
        whole=True,
    )


def plant_sink(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A foot whose sole is `size` cm at 1.7 m under the floor, for all of a stand or some of it.

    A foot of a capture, or of a spline through one, may stand off the floor: it is lowered by so
    much more or less, so that it is as deep as it is told. One that is far off is left alone.
    """
    clip = case.clip
    foot = any_side(clip, part, rng)
    if foot is None:
        return None
    found = _stands(clip, foot)
    if not found:
        return None
    first, last = found[int(rng.integers(len(found)))]
    if rng.integers(2) and last - first > 8:
        first += int(rng.integers((last - first) // 2))
        last = first + max((last - first) // 2, 4)
    deep = size / 100.0 * height_of(clip) / STORY_M
    over = _over_floor(clip, foot)[first : last + 1]
    wanted = deep + float(np.median(over))
    if abs(wanted - deep) > OFF * height_of(clip):
        return None
    ease = max(round(SINK_S / clip.dt_s), 2)
    at = np.arange(len(clip.frames))
    share = smooth_step(np.minimum(at - first + ease, last + ease - at) / ease)
    sunk = reach(clip, foot, np.outer(-wanted * share, [0.0, 0.0, 1.0]))
    went = (sunk.positions - clip.positions)[first : last + 1, foot.joint, 2]
    if np.abs(went + wanted).max() > EXACT * wanted:
        return None
    return Planted(
        clip=without_curves(sunk),
        check="sink",
        part=foot.part,
        carriers=(foot.part, foot.part.replace("foot", "toe")),
        frames=(float(clip.frames[first]), float(clip.frames[last])),
        size=float(-np.median(over + went)) * 100.0 * STORY_M / height_of(clip),
        where=f"frames {clip.frames[first]:g}-{clip.frames[last]:g}",
    )


def _over_floor(clip: Clip, foot: Target) -> Floats:
    """(T,) how far the lowest point of a sole is over the floor, metres."""
    return sole_of(clip, foot)[..., 2].min(axis=1) - (clip.meta.floor_z or 0.0)


def landings(clip: Clip, foot: Target) -> list[tuple[int, float]]:
    """Samples on which a foot has come down, and how fast it came, m/s."""
    lowest = sole_of(clip, foot)[..., 2].min(axis=1)
    down = DOWN * height_of(clip)
    found = []
    for first, last in _stands(clip, foot):
        stood = lowest[first : min(first + round(SHORTEST_S / clip.dt_s), last) + 1].min()
        near = np.arange(max(first - round(SHORTEST_S / clip.dt_s), 0), last + 1)
        touches = lowest[near] - stood <= down
        if touches[0] or not touches.any():
            continue
        at = int(near[int(np.argmax(touches))])
        over = round(OVER_S / clip.dt_s)
        if at > over:
            found.append((at, float(lowest[at - over] - lowest[at]) / (over * clip.dt_s)))
    return found


def _stands(clip: Clip, foot: Target) -> list[tuple[int, int]]:
    """First and last sample of each stand of a foot that the range shows whole."""
    standing = np.append(stands(clip, foot), False)
    least = max(round(SHORTEST_S / clip.dt_s), 3)
    return [
        (a, b + 1)
        for a, b in runs(standing)
        if b + 1 - a >= least and a >= EDGE and b < len(standing) - 1 - EDGE
    ]


KINDS = (
    Kind(
        name="stomp",
        check="stomp",
        says="a foot hangs back in the air and comes down so many times faster than the shot's",
        unit="times",
        sizes={"foot": (1.5, 2.0, 3.0)},
        promised={"foot": (2.0, 2.0)},
        sets=("walks_24", "walks_30"),
        plant=plant_stomp,
    ),
    Kind(
        name="sink",
        check="sink",
        says="a foot stands so deep under the floor, for all or some of its stand",
        unit="cm",
        sizes={"foot": (1.0, 2.0, 3.0, 5.0)},
        promised={"foot": (5.0, 3.0)},
        sets=MOTION,
        plant=plant_sink,
    ),
)
