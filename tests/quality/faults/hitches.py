# SPDX-License-Identifier: GPL-3.0-or-later
"""Hitches: the body, or a hand or foot, sticks for a few frames and then catches up at once."""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip

from ..case import Case
from ..moves import Target, any_side, ends_of, height_of
from ..planted import Kind, Planted
from ..timing import held, sampled, without_curves
from . import FEW, MOTION, STORY_M

Floats = NDArray[np.float64]

EDGE = 6
# What must be hidden for the fault to count, cm at 1.7 m: less is not to be seen.
HIDDEN_CM, LITTLE_CM = (4.0, np.inf), (2.0, 4.0)
# A limb that sticks was moving before: heights a second.
MOVES = 0.2
# A limb that cannot reach where it is to stick goes on with the body: it may drift by this share
# of what it hides.
DRIFTS = 0.1
# Points of the whole body; it must hide that much at the one that moves furthest.
BODY = ("root", "head", "hand.L", "hand.R", "foot.L", "foot.R")


def plant_hitch(
    case: Case, size: float, part: str, rng: np.random.Generator, *, hidden: tuple[float, float]
) -> Planted | None:
    """`size` frames stuck; frozen in the world or, a limb, against what it hangs on."""
    clip, frames = case.clip, round(size)
    shown = None if part == "body" else any_side(clip, part, rng)
    space = str(rng.choice(["world", "parent"]))
    scale = 100.0 * STORY_M / height_of(clip)
    starts = _starts(clip, shown, frames, hidden[0] / scale)
    if len(starts) == 0:
        return None
    at = int(rng.choice(starts))
    when = np.arange(len(clip.frames), dtype=np.float64)
    when[at + 1 : at + frames + 1] = at
    stuck = sampled(clip, when) if shown is None else held(clip, shown, when, space)
    off = _off(clip, stuck, shown, at, frames) * scale
    if not hidden[0] <= off <= hidden[1]:
        return None
    if space == "world" and _drifts(stuck, shown, at, frames) * scale > DRIFTS * off:
        return None
    return Planted(
        clip=without_curves(stuck),
        check="hitch",
        part=None if shown is None else shown.part,
        carriers=_carriers(shown),
        frames=(float(clip.frames[at + 1]), float(clip.frames[at + frames])),
        size=size,
        where=f"hides {off:.1f} cm" + (f", frozen in its {space}" if shown else ""),
    )


def _starts(clip: Clip, shown: Target | None, frames: int, least_m: float) -> NDArray[np.int64]:
    """Samples after which enough is hidden, and up to which a limb moves; one that is carried is
    looked at afterwards."""
    last = len(clip.frames) - EDGE - frames - 1
    if last <= EDGE:
        return np.zeros(0, dtype=np.int64)
    tracks = _tracks(clip, shown)
    gone = np.linalg.norm(tracks[frames:] - tracks[:-frames], axis=-1).max(axis=1)
    starts = np.arange(EDGE, last)
    starts = starts[gone[starts] >= least_m]
    if shown is None:
        return starts
    pace = np.linalg.norm(tracks[2:] - tracks[:-2], axis=-1).max(axis=1) / (2.0 * clip.dt_s)
    return starts[pace[starts - 2] >= MOVES * height_of(clip)]


def _tracks(clip: Clip, shown: Target | None) -> Floats:
    """(T,N,3) the points that must hide something."""
    if shown is not None:
        return ends_of(clip, shown.joint)
    joints = [clip.joint(clip.meta.roles[part][0]) for part in BODY if part in clip.meta.roles]
    return clip.positions[:, joints]


def _off(clip: Clip, stuck: Clip, shown: Target | None, at: int, frames: int) -> float:
    """How far behind the points are when they have been stuck longest, metres."""
    gap = _tracks(stuck, shown)[at + frames] - _tracks(clip, shown)[at + frames]
    return float(np.linalg.norm(gap, axis=-1).max())


def _drifts(stuck: Clip, shown: Target | None, at: int, frames: int) -> float:
    """How far the points move while they are stuck, metres."""
    points = _tracks(stuck, shown)[at : at + frames + 1]
    return float(np.linalg.norm(points - points[0], axis=-1).max())


def _carriers(shown: Target | None) -> tuple[str | None, ...]:
    if shown is None:
        return ("root", "pelvis", None)
    limb = ("upper_arm", "forearm") if shown.part.startswith("hand") else ("thigh", "shin", "toe")
    return (shown.part, *(f"{name}.{shown.side}" for name in limb))


def _kind(name: str, says: str, hidden: tuple[float, float], **rest: object) -> Kind:
    def plant(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
        return plant_hitch(case, size, part, rng, hidden=hidden)

    return Kind(name=name, check="hitch", says=says, unit="fr", plant=plant, **rest)


_LIMBS = ("hand", "foot")
KINDS = (
    _kind(
        "hitch_body",
        "all of it stuck, then caught up at once; 4 cm hidden or more",
        HIDDEN_CM,
        sizes={"body": (2.0, 3.0, 4.0)},
        promised={"body": (2.0, 2.0)},
        sets=MOTION,
    ),
    _kind(
        "hitch_limb",
        "a limb stuck in the world or against the body, 4 cm hidden or more",
        HIDDEN_CM,
        sizes=dict.fromkeys(_LIMBS, (2.0, 3.0, 4.0, 6.0)),
        promised=dict.fromkeys(_LIMBS, (3.0, 3.0)),
        sets=MOTION,
    ),
    _kind(
        "hitch_limb_little",
        "the same where it hides 2 to 4 cm",
        LITTLE_CM,
        sizes=dict.fromkeys(_LIMBS, (3.0,)),
        promised={},
        sets=FEW,
    ),
)
