# SPDX-License-Identifier: GPL-3.0-or-later
"""Sway: a stride or two go much further to the side, or up and down, than the rest of the walk.

The hips' control is moved and the feet stay where they are, as legs with IK keep them.
"""

import itertools

import numpy as np
from numpy.typing import NDArray

from analysis import Clip, Settings
from analysis.basis import build_basis

from ..case import Case
from ..planted import Kind, Planted
from ..timing import without_curves
from ..walks import aside_and_down, swayed

Floats = NDArray[np.float64]

WALKS = ("walks_24", "walks_30")
# It grows and fades over this share of a stride outside the strides that are wrong.
EASE = 0.25
# So many whole strides are left as they are.
LEAST_OTHERS = 3
SIDE, UP = 0, 1


def plant_side(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """One or two strides that sway `size` times as far from side to side as the others do."""
    return _plant(case, size, part, rng, SIDE)


def plant_up(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """One or two strides that rise and fall `size` times as far as the others do."""
    return _plant(case, size, part, rng, UP)


def _plant(
    case: Case, size: float, part: str, rng: np.random.Generator, axis: int
) -> Planted | None:
    clip = case.clip
    lands = landings(clip, str(rng.choice(["L", "R"])))
    count = int(rng.integers(1, 3))
    if len(lands) - 1 < count + LEAST_OTHERS:
        return None
    at = int(rng.integers(0, len(lands) - count))
    spans = travels(clip, lands)[:, axis]
    wrong = np.zeros(len(spans), dtype=bool)
    wrong[at : at + count] = True
    times = size * float(np.median(spans[~wrong])) / float(np.mean(spans[wrong]))
    first, last, end = lands[at], lands[at + count], len(clip.frames) - 1
    ease = round(EASE * (last - first) / count)
    factor = 1.0 + (times - 1.0) * eased(len(clip.frames), first, last, ease)
    still = np.ones(len(clip.frames))
    made = swayed(clip, side=factor if axis == SIDE else still, up=factor if axis == UP else still)
    now = travels(made, lands)[wrong, axis]
    return Planted(
        clip=without_curves(made),
        check="sway",
        part="root",
        carriers=("root",),
        frames=(
            float(clip.frames[max(first - ease, 0)]),
            float(clip.frames[min(last + ease, end)]),
        ),
        size=float(np.mean(now) / np.median(spans[~wrong])),
        where=f"{count} of {len(spans)} strides, {'up' if axis == UP else 'aside'}",
        whole=True,
    )


def plant_between(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A whole walk that goes `size` times as far as it did, to the side or up, beside itself."""
    clip, count = case.clip, len(case.clip.frames)
    axis = int(rng.integers(2))
    factors = [np.ones(count), np.ones(count)]
    factors[axis] *= size
    made = swayed(clip, side=factors[SIDE], up=factors[UP])
    now, before = (np.ptp(aside_and_down(each)[:, axis]) for each in (made, clip))
    return Planted(
        clip=without_curves(made),
        check="sway",
        part="root",
        carriers=("root",),
        frames=(float(clip.frames[0]), float(clip.frames[-1])),
        size=float(now / before),
        where=f"all of it, {'up' if axis == UP else 'aside'}",
        whole=True,
        beside=clip,
    )


def landings(clip: Clip, side: str) -> list[int]:
    """Samples on which a foot lands."""
    plants = build_basis(clip, Settings()).plants
    return [plant.first for plant in plants if plant.side == side and plant.lands]


def travels(clip: Clip, lands: list[int]) -> Floats:
    """(S,2) how far the hips go to the side and up in each stride, metres."""
    away = aside_and_down(clip)
    spans = itertools.pairwise(lands)
    return np.array([np.ptp(away[a : b + 1], axis=0) for a, b in spans]).reshape(-1, 2)


def eased(count: int, first: int, last: int, ease: int) -> Floats:
    """(T,) 1 from the first sample to the last, and to 0 over `ease` samples outside."""
    at = np.arange(count, dtype=np.float64)
    away = np.maximum(np.maximum(first - at, at - last), 0.0) / max(ease, 1)
    u = np.clip(1.0 - away, 0.0, 1.0)
    return np.asarray(u**3 * (10.0 - 15.0 * u + 6.0 * u**2))


_SIZES = {"root": (1.3, 1.5, 1.75, 2.0)}

KINDS = (
    Kind(
        name="sway_side",
        check="sway",
        says="a stride or two that go further from side to side; feet stay where they are",
        unit="times",
        sizes=_SIZES,
        promised={"root": (1.5, 1.5)},
        sets=WALKS,
        plant=plant_side,
    ),
    Kind(
        name="sway_up",
        check="sway",
        says="a stride or two that go further up and down; feet stay where they are",
        unit="times",
        sizes=_SIZES,
        promised={"root": (1.5, 1.5)},
        sets=WALKS,
        plant=plant_up,
    ),
    Kind(
        name="sway_between",
        check="sway",
        says="a whole walk that goes further to the side or up, checked beside what it was",
        unit="times",
        sizes={"root": (1.3, 1.5)},
        promised={"root": (1.5, 1.5)},
        sets=WALKS,
        plant=plant_between,
    ),
)
