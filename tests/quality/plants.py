# SPDX-License-Identifier: GPL-3.0-or-later
"""Feet that stand: captured feet drift and float, keyed ones are put down and stay."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from analysis import quaternions as quat
from demo_scenes.captured.motions import CapturedMotion
from demo_scenes.rigify_human.contacts import find_contacts, nearness

from .plan import runs
from .puppet import Floats, Tracks

Bools = NDArray[np.bool_]

# At the captured figure's size. A ball that carries the rolling foot is lower and slower than
# this; a swinging one passes at 1 m/s and more.
LOW_M, RESTING_M_S = 0.04, 0.25
SHORTEST_S = 0.1
# A foot that stays low and moves no further than this between two stands is meant to stand.
DRIFT_M = 0.06
# One that drags further is picked up by this much instead.
LIFT_M = 0.05
BLEND_S = 0.12  # how long a foot takes into and out of where it stands
_AHEAD = np.array([0.0, -1.0, 0.0])


@dataclass(frozen=True, eq=False)
class Stands:
    """Stretches (first, last) of one foot: its ball rests; its sole lies flat."""

    ball: list[tuple[int, int]]
    flat: list[tuple[int, int]]


def planted(motion: CapturedMotion, tracks: Tracks, side: str) -> tuple[Tracks, Stands]:
    """The foot's channels with its stands held still on the floor, and those stands.

    Around a stand the foot is led towards it over BLEND_S; soles never dip under the floor.
    """
    place, turn = tracks[f"foot.{side}.place"], tracks[f"foot.{side}.turn"]
    heel_from_ball = _heel_from_ball(motion, side)
    flat = find_contacts(motion, side).flat
    ball = _at_ends(_bridged(place, _spread(place, _resting(place, motion.fps) | flat)))
    shortest, reach = round(SHORTEST_S * motion.fps), max(2, round(BLEND_S * motion.fps))
    stands = Stands(*([r for r in runs(m) if r[1] - r[0] >= shortest] for m in (ball, flat)))
    for first, last in stands.flat:
        near = nearness(_mask(first, last, len(turn)), reach)[:, None]
        level = _level(turn[first : last + 1])
        level = np.where(np.sum(turn * level, -1, keepdims=True) < 0.0, -level, level)
        turn = quat.normalise(turn + near * (level - turn))
    standing = np.any([_mask(a, b, len(place)) for a, b in stands.ball] or [flat], axis=0)
    for first, last in stands.ball:
        here = _mask(first, last, len(place))
        near = np.where(standing & ~here, 0.0, nearness(here, reach))[:, None]
        still = np.median(place[first : last + 1], axis=0) * [1.0, 1.0, 0.0]
        place = place + near * (still - place)
    place = _picked_up(place, stands.ball)
    heel = quat.rotate(turn, heel_from_ball)
    under = np.minimum(0.0, np.minimum(place[:, 2], place[:, 2] + heel[:, 2]))
    for first, last in stands.ball:
        under[first : last + 1] = under[first : last + 1].min()
    place = place - under[:, None] * [0.0, 0.0, 1.0]
    changed = {f"foot.{side}.place": place, f"foot.{side}.turn": quat.continuous(turn)}
    return tracks | changed, stands


def _resting(path: Floats, fps: float) -> Bools:
    speed = np.linalg.norm(np.gradient(path, axis=0), axis=-1) * fps
    return (path[:, 2] < LOW_M) & (speed < RESTING_M_S)


def _bridged(path: Floats, mask: Bools) -> Bools:
    """Stands between which the foot only drifts along the floor are one."""
    joined = mask.copy()
    for (_, end), (start, _) in pairwise(runs(mask)):
        low = path[end : start + 1, 2].max() < LOW_M
        if low and np.linalg.norm(path[start, :2] - path[end, :2]) < DRIFT_M:
            joined[end:start] = True
    return joined


def _at_ends(mask: Bools) -> Bools:
    """A stand that starts or ends a frame inside the range goes on to its end."""
    mask = mask.copy()
    mask[0] |= mask[1]
    mask[-1] |= mask[-2]
    return mask


def _spread(path: Floats, mask: Bools) -> Bools:
    """Stands with all the frames on which the foot neither rises nor drifts off yet."""
    spread = mask.copy()
    for first, last in runs(mask):
        spread[_reach(path, first, -1) : _reach(path, last, 1) + 1] = True
    return spread


def _reach(path: Floats, frame: int, way: int) -> int:
    """How far a stand goes on, one way in time, while the foot neither rises nor drifts off."""
    at = frame
    while 0 <= at + way < len(path):
        off = np.linalg.norm(path[at + way, :2] - path[frame, :2])
        if off > DRIFT_M or path[at + way, 2] > 0.75 * LOW_M:
            break
        at += way
    return at


def _picked_up(path: Floats, stands: list[tuple[int, int]]) -> Floats:
    """The path with a lift wherever the ball travels along the floor between two stands."""
    lifted = path.copy()
    for (_, end), (start, _) in pairwise(stands):
        way = path[end : start + 1]
        travel = np.linalg.norm(np.diff(way[:, :2], axis=0), axis=-1).sum()
        if way[:, 2].max() < LOW_M and travel > DRIFT_M:
            u = np.linspace(0.0, 1.0, len(way))
            lifted[end : start + 1, 2] += LIFT_M * np.sin(np.pi * u) ** 2
    return lifted


def _heel_from_ball(motion: CapturedMotion, side: str) -> Floats:
    """(3,) at rest, in the world's axes."""
    heel, ball = (motion.points.index(f"{point}.{side}") for point in ("heel", "toe"))
    offset = np.asarray(motion.point_offset)[heel] - np.asarray(motion.point_offset)[ball]
    return quat.rotate(motion.rest_rotations[motion.joint(f"foot.{side}")], offset)


def _mask(first: int, last: int, count: int) -> Bools:
    at = np.arange(count)
    return (at >= first) & (at <= last)


def _level(turn: Floats) -> Floats:
    """(4,) about the vertical alone, heading where the foot heads on average."""
    ahead = quat.rotate(turn, np.broadcast_to(_AHEAD, (*turn.shape[:-1], 3))).mean(axis=0)
    half = 0.5 * np.arctan2(ahead[0], -ahead[1])
    return np.array([np.cos(half), 0.0, 0.0, np.sin(half)])
