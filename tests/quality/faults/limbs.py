# SPDX-License-Identifier: GPL-3.0-or-later
"""Legs whose feet are wanted beyond their reach."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis import Clip

from ..case import Case
from ..figure import rebuild
from ..moves import LIMBS, Target, any_side, height_of, keep_feet, reach, target
from ..planted import Kind, Planted
from ..timing import without_curves
from . import MOTION, STORY_M

Floats = NDArray[np.float64]

# Samples at either end that are left alone.
EDGE = 6
# How long the body is too high or the foot too far, seconds; the leg is locked for part of it.
LASTS_S = (0.35, 1.2)
# How far a leg may be from straight there: shares of the height (8.5 cm at 1.7 m).
NEARLY = 0.05
# It is locked for so many frames at least, and for so many seconds at most.
PINNED, LONGEST_S = 3, 0.8
# Straight: as near to its length as this share of it.
STRAIGHT = 1e-5


@dataclass(frozen=True, eq=False)
class Leg:
    """A leg of a clip: hip, knee and ankle (T,3,3), metres."""

    foot: Target
    paths: Floats

    @property
    def length(self) -> Floats:
        """(T,) metres of thigh and shin."""
        return np.asarray(np.linalg.norm(np.diff(self.paths, axis=1), axis=-1).sum(axis=1))

    @property
    def way(self) -> Floats:
        """(T,3) from hip to ankle."""
        return np.asarray(self.paths[:, 2] - self.paths[:, 0])

    @property
    def slack(self) -> Floats:
        """(T,) metres that are missing from straight."""
        return np.asarray(self.length - np.linalg.norm(self.way, axis=-1))

    @property
    def bend_deg(self) -> Floats:
        """(T,) degrees between both bones: 0 straight."""
        upper, lower = self.paths[:, 1] - self.paths[:, 0], self.paths[:, 2] - self.paths[:, 1]
        across = np.linalg.norm(np.cross(upper, lower), axis=-1)
        return np.degrees(np.arctan2(across, np.sum(upper * lower, axis=-1)))

    @property
    def off_line(self) -> Floats:
        """(T,3) from the line between hip and ankle to the knee."""
        along = self.way / np.linalg.norm(self.way, axis=-1, keepdims=True)
        away = self.paths[:, 1] - self.paths[:, 0]
        return np.asarray(away - np.sum(away * along, axis=-1, keepdims=True) * along)


def leg_of(clip: Clip, foot: Target) -> Leg:
    """The leg (or arm) that a foot (hand) hangs on."""
    kind, _, side = foot.part.partition(".")
    joints = [target(clip, f"{name}.{side}").joint for name in (*LIMBS[kind], kind)]
    return Leg(foot, clip.positions[:, joints])


@dataclass(frozen=True, eq=False)
class Beyond:
    """A goal that lies beyond a limb's reach for a while.

    shift (T,3)    metres by which the end is pulled away, or the limb's upper end the other way
    away (T,)      metres that the goal lies beyond reach; below 0 within it
    samples (N,)   on which it does
    """

    leg: Leg
    shift: Floats
    away: Floats
    samples: NDArray[np.int64]


def beyond_reach(
    clip: Clip, shown: Target, metres: float, rng: np.random.Generator, *, along_limb: bool = True
) -> Beyond | None:
    """A goal `metres` beyond reach at most, and slowly there and back, where the limb is nearly
    straight; None where it never is. The shift is along the limb as it turns, or one way."""
    leg, count = leg_of(clip, shown), len(clip.frames)
    lasts = round(float(rng.uniform(*LASTS_S)) / clip.dt_s)
    room = np.arange(EDGE + lasts // 2, count - EDGE - lasts + lasts // 2)
    fits = room[leg.slack[room] <= NEARLY * height_of(clip)]
    if len(fits) == 0:
        return None
    at = int(rng.choice(fits))
    first, last = at - lasts // 2, at - lasts // 2 + lasts
    hump = np.zeros(count)
    hump[first : last + 1] = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(lasts + 1) / lasts)
    along = leg.way / np.linalg.norm(leg.way, axis=-1, keepdims=True)
    shift = hump[:, None] * (along if along_limb else along[at])
    amount = _amount(leg, shift, metres)
    if amount is None:
        return None
    shift = shift * amount
    away = np.linalg.norm(leg.way + shift, axis=-1) - leg.length
    samples = np.flatnonzero(away > 0.0)
    whole = np.ptp(samples) == len(samples) - 1
    if not whole or not PINNED <= len(samples) <= LONGEST_S / clip.dt_s:
        return None
    return Beyond(leg, shift, away, samples)


def plant_locked(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A foot's target `size` cm (at 1.7 m) beyond the leg's reach at most, and slowly there and
    back: the foot pulled away, or the hips moved from feet that stay."""
    clip = case.clip
    shown = any_side(clip, "foot", rng)
    pulls = bool(rng.integers(2))
    if shown is None:
        return None
    metres = size / 100.0 * height_of(clip) / STORY_M
    goal = beyond_reach(clip, shown, metres, rng, along_limb=pulls)
    if goal is None:
        return None
    moved = reach(clip, shown, goal.shift) if pulls else _hips_moved(clip, -goal.shift)
    if not _only(clip, moved, shown):
        return None
    return Planted(
        clip=without_curves(moved),
        check="locked_knee",
        part=f"shin.{shown.side}",
        carriers=tuple(f"{name}.{shown.side}" for name in ("shin", "thigh", "foot")),
        frames=(float(clip.frames[goal.samples[0]]), float(clip.frames[goal.samples[-1]])),
        size=float(goal.away.max()) * 100.0 * STORY_M / height_of(clip),
        where=f"{'foot pulled' if pulls else 'hips moved'}, locked {len(goal.samples)} frames",
    )


def _amount(leg: Leg, shift: Floats, beyond: float) -> float | None:
    """How many times the shift takes the target so far beyond reach at most; None where none."""
    low, high = 0.0, 0.4 * float(leg.length.mean())
    for _ in range(40):
        middle = 0.5 * (low + high)
        away = np.linalg.norm(leg.way + middle * shift, axis=-1) - leg.length
        low, high = (middle, high) if away.max() < beyond else (low, middle)
    reached = float((np.linalg.norm(leg.way + high * shift, axis=-1) - leg.length).max())
    return high if abs(reached - beyond) < 0.02 * beyond else None


def _hips_moved(clip: Clip, shift: Floats) -> Clip:
    root = target(clip, "root")
    return keep_feet(clip, rebuild(clip, root.joint, shift=shift))


def _only(before: Clip, after: Clip, shown: Target) -> bool:
    """Whether the other leg is not locked as well."""
    other = target(after, f"foot.{'R' if shown.side == 'L' else 'L'}")
    if other is None:
        return True
    was, now = leg_of(before, other), leg_of(after, other)
    tight = now.slack < 10.0 * STRAIGHT * now.length
    return not bool((tight & ~(was.slack < 10.0 * STRAIGHT * was.length)).any())


KINDS = (
    Kind(
        name="locked_knee",
        check="locked_knee",
        says="a foot's target beyond reach for a while, the leg locked 3 frames or more",
        unit="cm",
        sizes={"foot": (0.5, 1.0, 2.0, 5.0)},
        promised={"foot": (0.5, 0.5)},
        sets=MOTION,
        plant=plant_locked,
    ),
)
