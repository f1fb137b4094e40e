# SPDX-License-Identifier: GPL-3.0-or-later
"""Slides: a foot that stands is shifted over the floor, its leg following by IK."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis import Clip

from ..case import Case
from ..moves import Target, any_side, height_of, reach
from ..plan import runs
from ..planted import Kind, Planted
from ..resting import sole_of, stands
from ..timing import smooth_step, without_curves
from . import MOTION, STORY_M

Floats = NDArray[np.float64]

# A stand that is shorter than this is none; samples at either end of a range are left alone.
SHORTEST_S, EDGE = 0.2, 3
# How much of a stand the foot slips over: all of it, a third, or a few frames (seconds).
FEW_S = (0.08, 0.17)
# A foot is led back into its place over the next swing, within so long at most.
BACK_S = 0.3
# Share of the size by which what is measured afterwards may differ from what was asked for.
EXACT = 0.1
# A foot stands where a point of its sole goes no further by itself than this share of the size.
STANDS = 0.3


@dataclass(frozen=True)
class Span:
    """Samples first..last of a stand over which the foot slips.

    lands_off   it lands off its place and slips into it; else it slips away and leaves from there
    """

    first: int
    last: int
    lands_off: bool
    eased: bool
    says: str


def plant_slide(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A slip of `size` cm at 1.7 m of a foot that stands, in any level direction."""
    clip = case.clip
    foot = any_side(clip, part, rng)
    if foot is None:
        return None
    standing = np.append(stands(clip, foot), False)
    least = max(round(SHORTEST_S / clip.dt_s), 3)
    found = [
        (a, b + 1)
        for a, b in runs(standing)
        if b + 1 - a >= least and a >= EDGE and b < len(standing) - 1 - EDGE
    ]
    if not found:
        return None
    stand = found[int(rng.integers(len(found)))]
    span = _span(clip, stand, rng)
    wanted = size / 100.0 * height_of(clip) / STORY_M
    if _drifts(clip, foot, stand) > STANDS * wanted:
        return None
    angle = rng.uniform(0.0, 2.0 * np.pi)
    share = _share(clip, standing, stand, span)
    shift = wanted * np.outer(share, [np.cos(angle), np.sin(angle), 0.0])
    slid = reach(clip, foot, shift)
    went = (slid.positions - clip.positions)[:, foot.joint]
    if np.linalg.norm(went - shift, axis=-1)[stand[0] : stand[1] + 1].max() > EXACT * wanted:
        return None
    way = went[span.last] - went[span.first]
    return Planted(
        clip=without_curves(slid),
        check="slide",
        part=foot.part,
        carriers=(foot.part, foot.part.replace("foot", "toe")),
        frames=(float(clip.frames[span.first]), float(clip.frames[span.last])),
        size=float(np.linalg.norm(way)) * 100.0 * STORY_M / height_of(clip),
        where=span.says,
    )


def _drifts(clip: Clip, foot: Target, stand: tuple[int, int]) -> float:
    """How far the point of the sole that moves least goes over a stand, metres, level."""
    sole = sole_of(clip, foot)[stand[0] : stand[1] + 1, :, :2]
    return float(np.linalg.norm(sole - sole[:1], axis=-1).max(axis=0).min())


def _span(clip: Clip, stand: tuple[int, int], rng: np.random.Generator) -> Span:
    first, last = stand
    how = str(rng.choice(["all", "a third", "few"]))
    steps = last - first
    if how == "a third":
        steps = max(round(steps / 3), 2)
    elif how == "few":
        steps = min(max(round(rng.uniform(*FEW_S) / clip.dt_s), 2), steps)
    at = first + int(rng.integers(last - first - steps + 1))
    lands_off, eased = bool(rng.integers(2)), bool(rng.integers(2))
    says = (
        f"{how} of the stand {clip.frames[first]:g}-{clip.frames[last]:g}, "
        f"{'eased' if eased else 'even'}, {'into' if lands_off else 'out of'} its place"
    )
    return Span(at, at + steps, lands_off, eased, says)


def _share(clip: Clip, standing: NDArray[np.bool_], stand: tuple[int, int], span: Span) -> Floats:
    """(T,) share of the shift: over the span, held through the stand, let go of in the swing."""
    at = np.arange(len(standing))
    u = np.clip((at - span.first) / (span.last - span.first), 0.0, 1.0)
    share = smooth_step(u) if span.eased else u
    if not span.lands_off:
        return _let_go(clip, standing, stand, share)
    last = len(at) - 1
    backwards = (last - stand[1], last - stand[0])
    return _let_go(clip, standing[::-1], backwards, (1.0 - share)[::-1])[::-1]


def _let_go(
    clip: Clip, standing: NDArray[np.bool_], stand: tuple[int, int], share: Floats
) -> Floats:
    """The share (T,) up to the end of a stand, from there on less until the foot stands again."""
    last, count = stand[1], len(standing)
    again = np.flatnonzero(standing[last + 1 :])
    room = int(again[0]) + 1 if len(again) else count - last
    back = max(min(room, round(BACK_S / clip.dt_s)), 2)
    at = np.arange(count)
    return np.asarray(share * (1.0 - smooth_step((at - last) / back)))


KINDS = (
    Kind(
        name="slide",
        check="slide",
        says="a foot that stands is shifted, evenly or eased, over all or some of its stand",
        unit="cm",
        sizes={"foot": (1.0, 2.0, 3.0, 4.0, 6.0, 8.0)},
        promised={"foot": (4.0, 1.0)},
        sets=MOTION,
        plant=plant_slide,
    ),
)
