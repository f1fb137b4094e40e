# SPDX-License-Identifier: GPL-3.0-or-later
"""Skating: a walk that is carried too fast or too slow over the floor; a figure that stands and is
carried along on both feet."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analysis import Clip

from ..case import Case
from ..moves import height_of, target
from ..plan import runs
from ..planted import Kind, Planted
from ..resting import stands
from ..timing import smooth_step, without_curves
from . import STORY_M

Floats = NDArray[np.float64]

WALKS = ("walks_24", "walks_30")
STANDING = ("holds", "arrivals")
# A piece of the walk lasts so long, or as long as there is.
PIECE_S = (2.0, 5.0)
# A glide lasts so long, and leaves so many samples at either end of a range alone.
GLIDES_S, EDGE = (0.3, 1.5), 3


def plant_skate(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A piece of a walk whose travel is `size` per cent too far, or too little."""
    whole = case.clip
    hips = target(whole, part)
    if hips is None:
        return None
    count = min(round(rng.uniform(*PIECE_S) / whole.dt_s), len(whole.frames))
    at = int(rng.integers(len(whole.frames) - count + 1))
    clip = whole.cut(float(whole.frames[at]), float(whole.frames[at + count - 1]))
    seconds = np.arange(count) * clip.dt_s
    travel = np.array([*np.polyfit(seconds, clip.positions[:, hips.joint, :2], 1)[0], 0.0])
    share = float(rng.choice([-1.0, 1.0])) * size / 100.0
    made = _moved(clip, np.outer(seconds, share * travel))
    goes = np.polyfit(seconds, made.positions[:, hips.joint, :2], 1)[0]
    return Planted(
        clip=made,
        check="slide",
        part=part,
        carriers=(part, "mover"),
        frames=(float(clip.frames[0]), float(clip.frames[-1])),
        size=100.0 * abs(float(np.linalg.norm(goes) / np.linalg.norm(travel)) - 1.0),
        where=f"{'faster' if share > 0.0 else 'slower'}, {count} frames",
        whole=True,
    )


def plant_glide(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A figure that stands on both feet and is carried by `size` cm at 1.7 m, any level way."""
    clip = case.clip
    feet = [target(clip, f"foot.{side}") for side in ("L", "R")]
    if feet[0] is None or feet[1] is None:
        return None
    both = stands(clip, feet[0]) & stands(clip, feet[1])
    both[:EDGE] = both[len(both) - EDGE :] = False
    steps = max(round(rng.uniform(*GLIDES_S) / clip.dt_s), 3)
    fits = [(a, b + 1) for a, b in runs(np.append(both, False)) if b + 1 - a >= steps]
    if not fits:
        return None
    a, b = fits[int(rng.integers(len(fits)))]
    first = int(rng.integers(a, b - steps + 1))
    u = np.clip((np.arange(len(clip.frames)) - first) / steps, 0.0, 1.0)
    share = smooth_step(u) if rng.integers(2) else u
    angle = rng.uniform(0.0, 2.0 * np.pi)
    metres = size / 100.0 * height_of(clip) / STORY_M
    made = _moved(clip, metres * np.outer(share, [np.cos(angle), np.sin(angle), 0.0]))
    went = (made.positions - clip.positions)[-1, feet[0].joint]
    return Planted(
        clip=made,
        check="slide",
        part=part,
        carriers=(part, "mover"),
        frames=(float(clip.frames[first]), float(clip.frames[first + steps])),
        size=float(np.linalg.norm(went)) * 100.0 * STORY_M / height_of(clip),
        where=f"over {steps} frames",
    )


def _moved(clip: Clip, way: Floats) -> Clip:
    """The whole figure moved by a way (T,3)."""
    return without_curves(replace(clip, positions=clip.positions + way[:, None]))


KINDS = (
    Kind(
        name="skate",
        check="slide",
        says="a walk or a run is carried too fast or too slow over the floor",
        unit="%",
        sizes={"root": (5.0, 10.0, 20.0)},
        promised={"root": (10.0, 10.0)},
        sets=WALKS,
        plant=plant_skate,
    ),
    Kind(
        name="glide",
        check="slide",
        says="a figure that stands is carried over the floor on both feet, evenly or eased",
        unit="cm",
        sizes={"root": (3.0, 5.0, 20.0)},
        promised={"root": (5.0, 5.0)},
        sets=STANDING,
        plant=plant_glide,
    ),
)
