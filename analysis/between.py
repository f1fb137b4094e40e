# SPDX-License-Identifier: GPL-3.0-or-later
"""What walks and runs of one figure say of each other: faster walks are narrower, and rise more.

Shots that are checked in one go are compared by their measures alone. Shots are of one figure where
their rigs have the same name, or the same parts, at the same height. Walks are compared with walks
by the trend of people (`sway_trend`), runs with runs at the same cadence and speed.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from .between_words import Told, finding_of, look_of
from .finding import Finding, Shot, ToldLook, fixing_order
from .sway_trend import FASTEST, GROWN_M, SLOWEST, run_up_m, walk_side_m, walk_up_m

CHECK = "sway"
# Heights that differ by less are the same figure's.
SAME_HEIGHT = 0.005
# Speeds up to this factor apart are compared, those of runs up to the other one.
SPEEDS, RUN_SPEEDS = 1.7, 1.15
# A walk goes too far beside another of one figure from so many times what the other one does at
# its own speed on. Of three others and more it must also go so much further than any: how far
# walks of one figure differ, they tell themselves.
TIMES, BEYOND_ALL, MANY = 1.4, 1.15, 3
# A walk is compared with one or two others only where it is the same manner of walking: else it is
# another style. How it goes along the other axis, against the trend, differs by this factor at
# most; feet stand for a share of the stride that differs by so much, and so far apart (4 cm at
# 1.7 m).
ALIKE, ALIKE_CONTACT, ALIKE_WIDTH = 1.25, 0.06, 0.04 / 1.7
# A walk that is faster by this factor should be narrower: it is not where it is so nearly as wide,
# and wider than this share of what people do at its speed.
FASTER, AS_WIDE, NOT_NARROW = 1.15, 0.95, 0.6
# Another measure of the same: it is wider, against the trend, by this factor than the slower one.
AGAINST_TREND = 1.08
# A faster walk that rises by less than this share of the slower one's is worth a look.
FLATTER = 0.92
# Strides that make a walk to compare, where it is no loop.
LEAST_STRIDES = 2

AXES = {"side": "root_lateral_m", "up": "root_vertical_m"}


@dataclass(frozen=True, eq=False)
class Walk:
    """A shot's gait: m/s, and metres of the body's main control, by axis; `usual` of people."""

    shot: Shot
    speed: float
    amounts: dict[str, float]
    usual: dict[str, float]
    running: bool

    def share(self, axis: str) -> float:
        """How far it goes, of what people do."""
        return self.amounts[axis] / self.usual[axis]


def compare_shots(shots: Sequence[Shot], *, factor: float = 1.0) -> list[Shot]:
    """The shots with what they say of each other: findings of `sway`, always minor, and looks.

    factor   what the limits are multiplied by, as `Settings.factor` says
    Shots that were not asked for their sway are left as they are.
    """
    walks = [walk_of(shot) for shot in shots]
    told = []
    for shot, walk in zip(shots, walks, strict=True):
        others = [other for other in walks if walk and other and _comparable(walk, other)]
        told.append(_with(shot, walk, others, factor) if walk and others else shot)
    return told


def walk_of(shot: Shot) -> Walk | None:
    """The gait of a shot that was asked for its sway and has one; else None."""
    found = shot.measures
    enough = shot.cycle or found.get("strides", 0.0) >= LEAST_STRIDES
    if not enough or "root_lateral_m" not in found or CHECK in dict(shot.skipped):
        return None
    speed, running = found["gait_speed_m_s"], found["run_share"] > 0.5
    amounts = {axis: found[name] for axis, name in AXES.items()}
    if min(amounts.values()) <= 0.0:
        return None
    return Walk(shot, speed, amounts, _usual(shot, speed, running), running)


def _usual(shot: Shot, speed: float, running: bool) -> dict[str, float]:
    """What people do, metres; a run's side has no trend: the same at any speed."""
    height = shot.height_m or GROWN_M
    if running:
        return {"side": 0.02 * height, "up": run_up_m(0.5 * shot.measures["stride_s"])}
    size = float(np.sqrt(height / GROWN_M))
    # Beyond its ends the trend is taken to go on level.
    within = min(max(speed, SLOWEST * size * 1.001), FASTEST * size * 0.999)
    side, up = walk_side_m(within, height), walk_up_m(within, height)
    return {"side": side or 0.02 * height, "up": up or 0.02 * height}


def _comparable(walk: Walk, other: Walk) -> bool:
    mine, theirs = walk.shot, other.shot
    if mine is theirs or walk.running != other.running:
        return False
    ratio = walk.speed / other.speed
    apart = RUN_SPEEDS if walk.running else SPEEDS
    return _same_figure(mine, theirs) and 1.0 / apart <= ratio <= apart


def _same_figure(mine: Shot, theirs: Shot) -> bool:
    heights = mine.height_m, theirs.height_m
    if None in heights:
        return heights == (None, None) and bool(mine.rig) and mine.rig == theirs.rig
    close = abs(mine.height_m / theirs.height_m - 1.0) < SAME_HEIGHT  # type: ignore[operator]
    parts = [set(shot.measures["points"]) for shot in (mine, theirs)]
    return close and (parts[0] == parts[1] or (bool(mine.rig) and mine.rig == theirs.rig))


def _with(shot: Shot, walk: Walk, others: list[Walk], factor: float) -> Shot:
    findings: list[Finding] = []
    for axis in AXES:
        told = _too_far(walk, others, axis, factor)
        if told is None and axis == "side":
            told = _not_narrower(walk, others, factor)
        if told is not None:
            findings.append(finding_of(told, taken=[*shot.findings, *findings]))
    look = _flatter(walk, others)
    looks: list[ToldLook] = [] if look is None else [look_of(look)]
    every = sorted((*shot.findings, *findings), key=fixing_order)
    return replace(shot, findings=tuple(every), looks=(*shot.looks, *looks))


def _too_far(walk: Walk, others: list[Walk], axis: str, factor: float) -> Told | None:
    """Whether it goes clearly further than others do at their speeds, the trend between these
    taken out; told beside the one nearest in speed of those that go no further than usual."""
    shares = np.array([other.share(axis) for other in others])
    usual = float(np.median(shares))
    most = (1.0 + factor * (TIMES - 1.0)) * usual
    if len(others) >= MANY:
        most = max(most, (1.0 + factor * (BEYOND_ALL - 1.0)) * float(shares.max()))
    if walk.share(axis) <= most:
        return None
    calm = [other for other in others if other.share(axis) <= 1.001 * usual]
    nearest = min(calm, key=lambda other: abs(np.log(other.speed / walk.speed)))
    if len(others) < MANY and not _same_manner(walk, nearest, axis):
        return None
    return _told(walk, nearest, axis, "too far", most * walk.usual[axis], usual * walk.usual[axis])


def _same_manner(walk: Walk, other: Walk, axis: str) -> bool:
    """Whether two walks are alike but for what an axis shows."""
    rest = next(name for name in AXES if name != axis)
    mine, theirs = walk.shot.measures, other.shot.measures
    height = walk.shot.height_m or GROWN_M
    contact = [
        found["foot_contact_left_share"] + found["foot_contact_right_share"]
        for found in (mine, theirs)
    ]
    return (
        1.0 / ALIKE <= walk.share(rest) / other.share(rest) <= ALIKE
        and abs(contact[0] - contact[1]) <= 2.0 * ALIKE_CONTACT
        and abs(mine["step_width_m"] - theirs["step_width_m"]) <= ALIKE_WIDTH * height
    )


def _not_narrower(walk: Walk, others: list[Walk], factor: float) -> Told | None:
    """Whether it is faster than another walk, and yet as wide."""
    slower = [other for other in others if walk.speed >= FASTER * other.speed]
    if walk.running or not slower or walk.share("side") < NOT_NARROW:
        return None
    shares = [other.share("side") for other in others]
    usual = max(shares) if len(others) >= MANY else float(np.median(shares))
    if walk.share("side") < (1.0 + factor * (AGAINST_TREND - 1.0)) * usual:
        return None
    other = max(slower, key=lambda each: each.speed)
    limit = AS_WIDE * other.amounts["side"]
    if walk.amounts["side"] <= limit or not _same_manner(walk, other, "side"):
        return None
    wanted = other.share("side") * walk.usual["side"]
    return _told(walk, other, "side", "too far", limit, wanted)


def _flatter(walk: Walk, others: list[Walk]) -> Told | None:
    """Whether it is faster than another walk, and rises clearly less."""
    slower = [other for other in others if walk.speed >= FASTER * other.speed]
    if walk.running or not slower:
        return None
    other = max(slower, key=lambda each: each.speed)
    if walk.amounts["up"] >= FLATTER * other.amounts["up"]:
        return None
    return _told(walk, other, "up", "flatter", FLATTER * other.amounts["up"], walk.usual["up"])


def _told(walk: Walk, other: Walk, axis: str, what: str, limit_m: float, wanted_m: float) -> Told:
    return Told(
        shot=walk.shot,
        other=other.shot,
        axis=axis,
        what=what,
        speeds=(walk.speed, other.speed),
        amounts=(walk.amounts[axis], other.amounts[axis]),
        limit_m=limit_m,
        wanted_m=wanted_m,
        running=walk.running,
    )
