# SPDX-License-Identifier: GPL-3.0-or-later
"""Out of balance: the hips go so far, and come back, that the weight hangs beyond the feet's edge.

The hips' control is moved, and lowered as far as the legs need it; the feet stay where they are, as
legs with IK keep them. The hold is planted where the figure stands on its feet alone and slowly;
captured motion and what is keyed from it stands nowhere for so long, and is slowed down to a hold
first, at a moment at which it stands over its feet.
"""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip, Settings
from analysis.basis import build_basis
from analysis.basis.contacts import runs

from ..case import Case
from ..figure import rebuild
from ..moves import about, height_of, keep_feet, target
from ..planted import Kind, Planted
from ..standing import EDGE, Stand, bearing_points, outside, places, stand_in, stand_of
from ..timing import sampled, without_curves
from . import KEYED, STORY_M
from .sways import eased

Floats = NDArray[np.float64]

STANDING = ("captured_24", "captured_30", *KEYED, "holds", "arrivals")
# It goes out and comes back within so many seconds each.
EASE_S = (0.2, 0.35)
# Captured motion is slowed down to this pace for that hold and so much longer, where the weight is
# a centimetre or more inside of the feet.
SLOWED, SLOWLY, SPARE_S = ("captured_24", "captured_30", *KEYED), 0.05, 0.4
INSIDE, NEAR_S = 0.01 / STORY_M, 0.12
# Parts that trail the hips: by so many seconds, and how far they hang back for all that they lack.
TRAILS = {"chest": (0.09, 8.0), "neck": (0.15, -6.0)}
TRAILS |= {
    f"{part}.{side}": late
    for side in "LR"
    for part, late in (("upper_arm", (0.17, -12.0)), ("forearm", (0.25, -8.0)))
}
# A leg that is told to reach further than this share of its length is none.
LONGEST = 0.997


def plant_hold(
    case: Case, size: float, part: str, rng: np.random.Generator, *, hold_s: float = 0.4
) -> Planted | None:
    """The weight `size` cm at 1.7 m or more outside of the feet for `hold_s` seconds."""
    if "balance" in case.faulty:
        return None
    ease_s = rng.uniform(*EASE_S)
    clip = case.clip
    if case.set in SLOWED:
        slowed = _slowed(case, hold_s + 2.0 * ease_s + SPARE_S, rng)
        if slowed is None:
            return None
        clip = slowed
    hips = target(clip, part)
    stand = stand_in(case) if clip is case.clip else stand_of(clip)
    if hips is None or stand is None:
        return None
    ease, hold = round(ease_s / clip.dt_s), round(hold_s / clip.dt_s)
    firsts = places(stand, ease, hold)
    if len(firsts) == 0:
        return None
    first = int(rng.choice(firsts))
    last = first + hold
    way = rng.uniform(0.0, 2.0 * np.pi)
    way = np.array([np.cos(way), np.sin(way)])
    metres = size / 100.0 * height_of(clip) / STORY_M
    profile = eased(len(clip.frames), first, last, ease)
    found = _held_out(clip, stand, (first, last), profile, way, metres)
    if found is None:
        return None
    made, out = found
    return Planted(
        clip=without_curves(made),
        check="balance",
        part=part,
        carriers=(part, "pelvis"),
        frames=(float(clip.frames[first]), float(clip.frames[last])),
        size=out * 100.0 * STORY_M / height_of(clip),
        where=f"{hold} frames held, {ease} out and back",
    )


def _slowed(case: Case, hold_s: float, rng: np.random.Generator) -> Clip | None:
    """The clip slowed down to a twentieth for so long, at a moment at which it stands over its feet
    on these alone; None where it never does."""
    clip, stand = case.clip, stand_in(case)
    if stand is None:
        return None
    every = slice(0, len(clip.frames))
    over = outside(stand.com[:, :2], bearing_points(stand, every)) < -INSIDE * height_of(clip)
    near = max(round(NEAR_S / clip.dt_s), 2)
    moments = [n for a, b in runs(stand.alone & over) for n in range(a + near, b - near + 1)]
    moments = [n for n in moments if EDGE + near <= n < len(clip.frames) - EDGE - near]
    if not moments:
        return None
    at = int(rng.choice(moments))
    # The pace goes down and up again over `near` samples of the motion on either side.
    pace = np.full(round(hold_s / clip.dt_s), SLOWLY)
    ramp = np.linspace(1.0, SLOWLY, near + 2)[1:-1]
    slow = np.concatenate((ramp, pace, ramp[::-1]))
    begin = at - float(np.sum(slow)) / 2.0
    inside = begin + np.concatenate(([0.0], np.cumsum(slow)))
    before = np.arange(inside[0] - 1.0, 0.0, -1.0)[::-1]
    after = np.arange(inside[-1] + 1.0, len(clip.frames) - 1.0)
    return sampled(clip, np.concatenate((before, inside, after)))


def _held_out(
    clip: Clip, stand: Stand, ends: tuple[int, int], profile: Floats, way: Floats, metres: float
) -> tuple[Clip, float] | None:
    """The clip with its hips out by as much as that takes, and the metres that the weight is out;
    None where the legs do not reach."""
    held = slice(ends[0], ends[1] + 1)
    shift, step = 0.0, 0.0
    for _ in range(4):
        made = _shifted(clip, profile, shift * way)
        if made is None:
            return None
        com = build_basis(made, Settings(cycle="no")).com
        assert com is not None
        out = float(outside(com[held, :2], bearing_points(stand, held)).min())
        if abs(out - metres) < 1e-3:
            return made, out
        step = (metres - out) / (1.0 if shift == 0.0 else 0.85)
        shift += step
    return (made, out) if abs(out - metres) < 0.005 * height_of(clip) else None


def _shifted(clip: Clip, profile: Floats, way: Floats) -> Clip | None:
    """The hips moved along a way (2,) by a profile (T,), and down as legs need it; feet stay."""
    hips = target(clip, "root")
    assert hips is not None
    shift = np.zeros((len(profile), 3))
    shift[:, :2] = np.outer(profile, way)
    lower = max(_lack(clip, side, shift) for side in "LR")
    shift[:, 2] -= lower * profile
    shift[np.abs(shift) < 1e-12] = 0.0
    made = _trailing(rebuild(clip, hips.joint, shift=shift), profile, way)
    made = keep_feet(clip, made)
    feet = [clip.joint(clip.meta.roles[f"foot.{side}"][0]) for side in "LR"]
    off = np.linalg.norm((made.positions - clip.positions)[:, feet], axis=-1).max()
    return made if off < 1e-3 * height_of(clip) else None


def _trailing(clip: Clip, profile: Floats, way: Floats) -> Clip:
    """The clip whose trunk and arms trail the hips, which go along a way (2,): each is turned
    against it by what it still lacks of the profile (T,)."""
    length = float(np.linalg.norm(way))
    if length == 0.0:
        return clip
    axis = np.array([-way[1], way[0], 0.0]) / length
    for part, (late_s, degrees) in TRAILS.items():
        joint = target(clip, part)
        if joint is not None:
            late = round(late_s / clip.dt_s)
            before = np.concatenate((np.full(late, profile[0]), profile))[: len(profile)]
            turn = about(axis, np.radians(degrees) * (before - profile))
            clip = rebuild(clip, joint.joint, turn=turn)
    return clip


def _lack(clip: Clip, side: str, shift: Floats) -> float:
    """How far the hips must come down, at the most, for a leg to reach its foot."""
    hip, knee, foot = (
        clip.joint(clip.meta.roles[f"{p}.{side}"][0]) for p in ("thigh", "shin", "foot")
    )
    places = clip.positions
    longest = LONGEST * float(
        np.median(np.linalg.norm(places[:, hip] - places[:, knee], axis=-1))
        + np.median(np.linalg.norm(places[:, knee] - places[:, foot], axis=-1))
    )
    gap = places[:, hip] + shift - places[:, foot]
    moved = np.abs(shift).max(axis=1) > 0.0
    level = np.minimum(np.hypot(gap[:, 0], gap[:, 1]), longest)
    lack = gap[:, 2] - np.sqrt(longest**2 - level**2)
    return max(float(lack[moved].max(initial=0.0)), 0.0)


def _lasting(hold_s: float):
    def planted(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
        return plant_hold(case, size, part, rng, hold_s=hold_s)

    return planted


KINDS = (
    Kind(
        name="off_balance",
        check="balance",
        says="the weight goes out beyond the feet for .4 s, and comes back",
        unit="cm",
        sizes={"root": (4.0, 7.0, 10.0)},
        promised={"root": (10.0, 10.0)},
        sets=STANDING,
        plant=plant_hold,
    ),
    Kind(
        name="off_balance_short",
        check="balance",
        says="the same for .25 s",
        unit="cm",
        sizes={"root": (7.0, 10.0)},
        promised={},
        sets=("keyed_24", "holds"),
        plant=_lasting(0.25),
    ),
    Kind(
        name="off_balance_long",
        check="balance",
        says="the same for .8 s",
        unit="cm",
        sizes={"root": (7.0, 10.0)},
        promised={},
        sets=("keyed_24", "holds"),
        plant=_lasting(0.8),
    ),
)
