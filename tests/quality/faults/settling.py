# SPDX-License-Identifier: GPL-3.0-or-later
"""Everything stops at once: eased, but without overlap.

In moves that are keyed to end in a pose, all parts are keyed to arrive within a frame of each
other. In other motion time itself slows down to a hold, while all parts are on their way: a part
that slows down by itself there has arrived before the others, and no stop is planted.
"""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip

from ..arrivals import shot
from ..case import Case
from ..moves import height_of, target
from ..planted import Kind, Planted
from ..timing import sampled, smooth_step, without_curves

Floats = NDArray[np.float64]

CARRIERS = ("root", "pelvis", None)
# Frames at 24 a second: of the overlap that a shot should have, of the ease into the stop, and
# of the hold after it.
OVERLAP, EASE, HOLD = 3, (4, 11), (12, 22)
# Seconds in which it eases back into its motion, how long that goes on, and what is shown before.
LEAVE_S, AFTER_S, BEFORE_S = 0.4, 0.8, 2.0
# The parts that arrive; on their way into the stop they keep between these shares of the pace
# that they had in the last seconds before it, and the body has so many times the wanted pace.
PARTS, LEAD_S = ("root", "chest", "head", "hand.L", "hand.R"), 0.35
STEADY, PACES, LEAST_PACE = (0.35, 2.2), (0.9, 1.6), 0.05
# The root lies nearer to the floor than this share of the height: what lies is left alone.
LIES = 0.15


def plant_pose(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A move of a shot whose parts all arrive within 3 - `size` frames of each other."""
    number = int(case.name.rpartition("/")[2])
    within = OVERLAP - round(size)
    move = int(rng.integers(len(shot(number)[1])))
    made, ends = shot(number, move, within)
    first = made.frames[ends[move]]
    return Planted(
        clip=made,
        check="stop_together",
        part="root",
        carriers=CARRIERS,
        frames=(float(first), float(first + within)),
        size=size,
        where=f"move {move + 1} of {len(ends)}",
    )


def plant_slowed(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """The clip slows down to a hold from a pace of `size` heights a second, the body's mean."""
    clip = case.clip
    per_frame = 1.0 / (24.0 * clip.dt_s)
    ease, hold = (round(rng.integers(low, high + 1) * per_frame) for low, high in (EASE, HOLD))
    rates = (1.0 - np.arange(1, ease + 1) / (ease + 1)) ** float(rng.choice([1.0, 2.0]))
    places = _places(clip, size, float(rates.sum()))
    if len(places) == 0:
        return None
    at = int(rng.choice(places))
    before = min(at, round(BEFORE_S / clip.dt_s))
    end = at + float(rates.sum())
    times = [np.arange(at - before, at + 1.0), at + np.cumsum(rates), np.full(hold, end)]
    goes_on = bool(rng.integers(2))
    if goes_on:
        count = round((LEAVE_S + AFTER_S) / clip.dt_s)
        times.append(end + np.cumsum(smooth_step(np.arange(1, count + 1) * clip.dt_s / LEAVE_S)))
    when = np.concatenate(times)
    made = without_curves(sampled(clip, when[when <= len(clip.frames) - 1]))
    rests = float(made.frames[before + ease])
    return Planted(
        clip=made,
        check="stop_together",
        part="root",
        carriers=CARRIERS,
        frames=(rests - 1.0, rests),
        size=size,
        where=f"eased over {ease}, held {hold}, {'goes on' if goes_on else 'to the end'}",
    )


def _places(clip: Clip, size: float, way: float) -> NDArray[np.int64]:
    """Samples on which the clip can begin to slow down, to come to rest `way` samples later."""
    pace = _paces(clip)
    lead, on = round(LEAD_S / clip.dt_s), int(np.ceil(way)) + 1
    root = target(clip, "root")
    low = clip.positions[:, root.joint, 2] - (clip.meta.floor_z or 0.0) < LIES * height_of(clip)
    found = []
    for at in range(lead, len(pace) - on):
        before, after = pace[at - lead : at], pace[at : at + on]
        usual = before.max(axis=0)
        moves = usual >= LEAST_PACE
        ratios = np.concatenate((before[-2:], after))[:, moves] / usual[moves]
        steady = ratios.size and STEADY[0] <= ratios.min() and ratios.max() <= STEADY[1]
        wanted = PACES[0] * size <= float(usual.mean()) <= PACES[1] * size
        arms = moves[PARTS.index("hand.L") :].any()
        if steady and wanted and moves[0] and arms and moves.sum() >= 4 and not low[at]:
            found.append(at)
    return np.array(found, dtype=np.int64)


def _paces(clip: Clip) -> Floats:
    """(T-1,P) heights a second of the parts that arrive."""
    joints = [target(clip, part).joint for part in PARTS]
    steps = np.linalg.norm(np.diff(clip.positions[:, joints], axis=0), axis=-1)
    return steps / clip.dt_s / height_of(clip)


KINDS = (
    Kind(
        name="stop_together",
        check="stop_together",
        says="a move into a pose whose parts lack so many of 3 frames of overlap",
        unit="fr",
        sizes={"body": (1.0, 2.0, 3.0)},
        promised={"body": (2.0, 2.0)},
        sets=("arrivals",),
        plant=plant_pose,
    ),
    Kind(
        name="stop_slowed",
        check="stop_together",
        says="the whole clip slows down to a hold, all parts alike",
        unit="H/s",
        sizes={"body": (0.2, 0.3, 0.6)},
        promised={"body": (0.3, 0.3)},
        sets=("captured_24", "captured_30", "keyed_24", "keyed_30", "travelling"),
        plant=plant_slowed,
    ),
)
