# SPDX-License-Identifier: GPL-3.0-or-later
"""Clean sets of walks and runs of five to eight strides, none of which is quite like another.

Keyed gaits, walks of many styles whose pace drifts, and a captured walk played on. Their
side-to-side and up-and-down travel differs from stride to stride by 3 to 9 % (one standard
deviation; people's differ by about as much, common knowledge without a single source), on feet
that stand. Half B has the captured walk.
"""

from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from demo_scenes.captured.clip import to_clip

from .captured import motions
from .case import HALVES, Case
from .cycle_round import Round
from .cycle_strides import stride_round
from .cycle_walks import walk_round
from .cycles import resampled
from .figure import rebuild
from .gaits import random_gait
from .moves import keep_feet, target
from .strides import gait_clip

Floats = NDArray[np.float64]

KEYED, STYLES, CAPTURED = 18, 18, 4
STRIDES = (5, 9)
# From stride to stride: the spread of how far the body travels to the side and up, and of time.
SPREAD, PACE_SPREAD = (0.03, 0.09), 0.02
# Over the whole clip the pace may drift by this share either way.
DRIFT = 0.1
# The body is lowered by so much, metres, so that legs reach where it sways further out.
LOWER_M = 0.008


def walks_24() -> list[Case]:
    """Walks and runs of five strides and more, 24 frames a second."""
    return list(_walks(24.0))


def walks_30() -> list[Case]:
    """The same kinds of walks, others of them, at 30 frames a second."""
    return list(_walks(30.0))


@cache
def _walks(fps: float) -> tuple[Case, ...]:
    which = f"walks_{fps:g}"
    found = []
    for n in range(KEYED + STYLES + CAPTURED):
        rng = np.random.default_rng([17, int(fps), n])
        strides = int(rng.integers(*STRIDES))
        if n < KEYED:
            source, half, clip = "gait", "AB"[n % 2], _keyed(fps, rng, strides, n)
        elif n < KEYED + STYLES:
            source, half, clip = "walks", "AB"[n % 2], _style(fps, rng, strides, n)
        else:
            source, half, clip = "walk", HALVES["walk"], _captured(fps, rng, strides)
        name = f"{which}/{source}.{n:02}"
        clip = replace(clip, meta=replace(clip.meta, name=name, cycle=False))
        found.append(Case(name, source, which, half, clip))
    return tuple(found)


def _keyed(fps: float, rng: np.random.Generator, strides: int, n: int) -> Clip:
    gait = random_gait(rng, fps, running=n % 6 > 3, strides=1, crisp=n % 7 < 3)
    size = rng.uniform(0.8, 1.3)
    clip = gait_clip(gait, fps, "gait", size=size, cycle=None, rounds=strides + 1)
    return uneven(clip, gait.frames, rng, size)


def _style(fps: float, rng: np.random.Generator, strides: int, n: int) -> Clip:
    form = replace(to_clip(motions()[0]), fps=fps)
    return _played_on(walk_round(form, rng, jitter=n % 4 > 1), rng, strides)


def _captured(fps: float, rng: np.random.Generator, strides: int) -> Clip:
    half = to_clip(next(motion for motion in motions() if motion.name == "walk.1"))
    stride = stride_round(half)
    count = round(stride.length * fps / half.fps * rng.uniform(0.85, 1.15))
    return _played_on(resampled(stride, count, fps), rng, strides)


def _played_on(each: Round, rng: np.random.Generator, strides: int) -> Clip:
    """A round played several times, each time a little slower or faster."""
    drift = rng.uniform(-DRIFT, DRIFT)
    pace = np.linspace(1.0 - drift, 1.0 + drift, strides)
    pace = pace * rng.normal(1.0, PACE_SPREAD, strides)
    knots = np.concatenate(([0.0], np.cumsum(each.length / pace)))
    samples = np.arange(int(knots[-1]))
    rounds = np.interp(samples, knots, np.arange(strides + 1.0))
    smooth = np.convolve(np.pad(rounds, 8, "reflect", reflect_type="odd"), np.full(17, 1 / 17))
    phases = smooth[16:-16] * each.length + rng.uniform(0.0, each.length)
    return uneven(each.played(phases), each.length, rng, 1.0)


def uneven(clip: Clip, period: int, rng: np.random.Generator, size: float) -> Clip:
    """The clip with strides that differ in how far they go to the side and up."""
    spread = rng.uniform(*SPREAD)
    times = np.arange(0.0, len(clip.frames) + 2 * period, period)
    at = np.arange(len(clip.frames), dtype=np.float64)
    side = _eased(at, times, 1.0 + spread * rng.normal(size=len(times)))
    # Upwards there is no room for straight legs: each stride goes lower than it did, never higher.
    up = _eased(at, times, 1.0 + spread * np.clip(1.5 + rng.normal(size=len(times)), 0.0, 3.0))
    return swayed(clip, side=side, up=up, lower_m=LOWER_M * size)


def _eased(at: Floats, times: Floats, values: Floats) -> Floats:
    """Values at times, with half a cosine from one to the next."""
    place = np.interp(at, times, np.arange(len(times), dtype=np.float64))
    before = np.minimum(place.astype(int), len(values) - 2)
    share = 0.5 - 0.5 * np.cos(np.pi * (place - before))
    return values[before] + share * (values[before + 1] - values[before])


def swayed(clip: Clip, *, side: Floats, up: Floats, lower_m: float = 0.0) -> Clip:
    """The hips' travel scaled by (T,) to the side and downwards from its top; feet stay.

    The walk goes straight on along the world's Y.
    """
    hips = target(clip, "root")
    assert hips is not None
    away = aside_and_down(clip)
    shift = np.stack(
        ((side - 1.0) * away[:, 0], 0.0 * side, (up - 1.0) * away[:, 1] - lower_m), axis=-1
    )
    shift[np.abs(shift) < 1e-12] = 0.0
    return keep_feet(clip, rebuild(clip, hips.joint, shift=shift))


def aside_and_down(clip: Clip) -> Floats:
    """(T,2) how far the hips are off their straight way to the side, and below their top."""
    hips = target(clip, "root")
    assert hips is not None
    path = clip.positions[:, hips.joint]
    time = np.arange(len(path), dtype=np.float64)
    middle = np.polyval(np.polyfit(time, path[:, 0], 1), time)
    return np.stack((path[:, 0] - middle, path[:, 2] - path[:, 2].max()), axis=-1)
