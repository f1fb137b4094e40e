# SPDX-License-Identifier: GPL-3.0-or-later
"""The arcs of a ball to its sides, and fore and aft: the extreme of each is the top of its arc."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..basis.ball import BallBasis
from ..memory import recalled
from ..parts import split_part
from ..swing_paths import ROOT_SHARE, gone_along, sides_of
from ..swing_push import push_of
from ..swing_shape import LONGEST_S, Turn, find_turns
from .arc import AHEAD, SIDE, BallArc
from .arc_words import turn_text
from .ideals import eased_ideal
from .stretches import Stretch, to_and_fro
from .travel import place_at, speed_of

Floats = NDArray[np.float64]

# A turn counts where its ways go so far (3 cm at 1.7 m).
LEAST = 0.03 / 1.7
# A turn that is found so many samples beside is the same.
SAME = 2
# What drifts for less than this share of a way belongs to it: eased ways are slow at their ends.
DRIFTS = 0.25
# What it takes of the share near a turn where it does not.
DRIFTED = 0.05
_SIDES = {"L": "left foot", "R": "right foot"}


def turn_arcs(basis: BallBasis) -> list[BallArc]:
    """Those to the side, then those fore and aft, the mean travel taken out of these."""
    left = sides_of(basis)
    ahead = np.stack((left[:, 1], -left[:, 0], left[:, 2]), axis=-1)
    place, least = basis.positions[:, 0], LEAST * basis.height.scene_m
    aside, along = gone_along(place, left), gone_along(place, ahead)
    along = along - np.linspace(0.0, along[-1], len(along))
    swung = ROOT_SHARE * basis.height.scene_m
    found = []
    for axis, values, way in ((SIDE, aside, left), (AHEAD, along, ahead)):
        turns = recalled(basis.memory, find_turns, values[:, None], basis.dt_s, swung)
        for each in to_and_fro(values, least):
            near = [turn for turn in turns if abs(turn.at - each.top[0]) <= SAME]
            whole = _shorter(basis, values, each, near)
            found.append(_arc(basis, whole, axis, values, way, _share(basis, whole, values, near)))
    return found


def _share(
    basis: BallBasis, stretch: Stretch, values: Floats, turns: Sequence[Turn]
) -> float | None:
    """Share of its time near the turn; None where a way lasts longer than `hang_time` looks at. A
    swing that drifts out of a stand, or into one, has less by that: it is told as that tells it."""
    share = stretch.share(values)
    if turns and turns[0].led and share is not None and turns[0].share - share > DRIFTED:
        return turns[0].share
    ways = (stretch.top[0] - stretch.begins[0], stretch.ends[0] - stretch.top[0])
    return share if max(ways) * basis.dt_s <= LONGEST_S else None


def _shorter(basis: BallBasis, values: Floats, stretch: Stretch, turns: Sequence[Turn]) -> Stretch:
    """The arc without what drifts before the one way and after the other, as `hang_time` has it:
    what comes out of a stand, or goes into one, ends there."""
    top, (first, _), (last, _) = stretch.top[0], stretch.begins, stretch.ends
    # A way that lasts so long is cut there, and not by a stand.
    longest = round(LONGEST_S / basis.dt_s) - 1
    for turn in turns:
        if not turn.led:
            continue
        if turn.begins - first > DRIFTS * (top - first) and turn.at - turn.begins < longest:
            stretch = replace(stretch, begins=(float(turn.begins), float(values[turn.begins])))
        if last - turn.ends > DRIFTS * (last - top) and turn.ends - turn.at < longest:
            stretch = replace(stretch, ends=(float(turn.ends), float(values[turn.ends])))
    return stretch


def _arc(
    basis: BallBasis,
    stretch: Stretch,
    axis: str,
    values: Floats,
    way: Floats,
    share: float | None,
) -> BallArc:
    (first, _), (last, _) = stretch.begins, stretch.ends
    at = round(stretch.top[0])
    apex = place_at(basis, stretch.top[0])
    apex += (stretch.top[1] - _value_at(values, stretch.top[0])) * way[at]
    ideal = eased_ideal(basis, stretch, values, way)
    speed, change = speed_of(basis, first, last)
    falls = basis.clip.meta.ball is not None and basis.clip.meta.ball.falls
    push = push_of(basis, at, values[:, None], way) if axis == SIDE and falls else None
    foot, place = ("", None) if push is None else _outer_foot(basis, at, stretch.sign * way[at])
    return BallArc(
        axis=axis,
        frames=(basis.frame_at(first), basis.frame_at(last)),
        apex_frame=basis.frame_at(stretch.top[0]),
        apex=apex,
        free=False,
        seconds=(last - first) * basis.dt_s,
        rise_m=stretch.rise * basis.height.to_story,
        share=share,
        fall_g=None,
        symmetry=stretch.symmetry,
        kept=None,
        speed_m_s=speed,
        speed_change_m_s=change,
        ideal_frames=ideal.frames,
        ideal=ideal.places,
        off_m=ideal.off_m,
        worst_frame=ideal.worst_frame,
        landing=None,
        landing_off_m=None,
        pushes_back=foot,
        pushes_from=place,
        says=turn_text(basis, stretch, axis, share, push if basis.figure else None, foot),
    )


def _value_at(values: Floats, at: float) -> float:
    return float(np.interp(at, np.arange(len(values)), values))


def _outer_foot(basis: BallBasis, at: int, out: Floats) -> tuple[str, Floats | None]:
    """Which foot stands furthest outside of the ball at a sample, and where; out (3,): the way
    there. None where no foot does, or something else bears it further out."""
    if basis.figure is None:
        return "", None
    points = basis.figure.touch_points
    touching = np.flatnonzero(points.touches[at])
    if not len(touching):
        return "", None
    outside = (points.place[at, touching] - basis.positions[at, 0]) @ out
    outer = touching[int(np.argmax(outside))]
    kind, side = split_part(basis.figure.bodies[points.body[outer]].part or "")
    if outside.max() <= 0.0 or kind not in ("foot", "toe") or side not in _SIDES:
        return "", None
    return _SIDES[side], np.array(points.place[at, outer])
