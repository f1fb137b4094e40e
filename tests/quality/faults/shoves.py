# SPDX-License-Identifier: GPL-3.0-or-later
"""Shoves: a body on its feet, or in the air, is set going as if somebody pushed it.

On its feet the whole body but the feet, which its legs keep where they were, gathers a speed
within a tenth of a second, loses it over the next .6 seconds, and comes back slowly. In the air it
goes on with that speed until it lands, and stays by that much aside.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analysis import Clip, Settings
from analysis.basis import build_basis

from ..case import Case
from ..figure import rebuild
from ..moves import height_of, keep_feet, target
from ..planted import Kind, Planted
from ..timing import smooth_step, without_curves
from . import STORY_M

Floats = NDArray[np.float64]

# Seconds: in which the body gathers the speed, in which it loses it, in which it comes back, and
# what stays free at the ends of a range.
GATHERS_S, LOSES_S, RETURNS_S, BESIDE_S = 0.1, 0.6, 1.2, 0.5
# Legs keep their feet to this share of the height (5 mm).
KEPT = 0.003
# A shove in the air lies so far inside of it, seconds, and the flight lasts so many samples.
INSIDE_S, LEAST_SAMPLES = 0.1, 9
# At this height people of any size push as hard: speeds go with the root of the height (Froude).
PARTS = ("root",)


def plant_shove(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """The body on its feet, given `size` m/s (at 1.7 m) to any side within a tenth of a second."""
    clip, root = case.clip, target(case.clip, part)
    count, dt_s = len(clip.frames), clip.dt_s
    room = count * dt_s - 2.0 * BESIDE_S - GATHERS_S
    if root is None or room <= 0.0:
        return None
    begins = BESIDE_S + float(rng.uniform(0.0, room))
    angle = rng.uniform(0.0, 2.0 * np.pi)
    way = _speed(clip, size) * np.array([np.cos(angle), np.sin(angle), 0.0])
    shift = np.outer(_gone(np.arange(count) * dt_s - begins), way)
    kept = keep_feet(clip, rebuild(clip, root.joint, shift=shift))
    if _off(clip, kept) > KEPT * height_of(clip) or _flies(clip, begins):
        return None
    frames = _frames(clip, begins)
    return _planted(case, kept, root.part, frames, size, "on its feet")


def plant_in_air(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A flight whose body gains `size` m/s (at 1.7 m) to any side, and lands that much aside."""
    clip, root = case.clip, target(case.clip, part)
    if root is None:
        return None
    near = round(INSIDE_S / clip.dt_s)
    flights = [f for f in _flights(clip) if f[1] - f[0] + 1 >= max(LEAST_SAMPLES, 2 * near + 3)]
    if not flights:
        return None
    first, last = flights[int(rng.integers(len(flights)))]
    begins = float(rng.integers(first + near, last - near)) * clip.dt_s
    angle = rng.uniform(0.0, 2.0 * np.pi)
    way = _speed(clip, size) * np.array([np.cos(angle), np.sin(angle), 0.0])
    seconds = np.minimum(np.arange(len(clip.frames)), last + 1) * clip.dt_s - begins
    # Two samples gather it: a mean of the kink before and after.
    gone = 0.5 * (np.maximum(seconds, 0.0) + np.maximum(seconds - 1.0 / 30.0, 0.0))
    pushed = replace(clip, positions=clip.positions + np.outer(gone, way)[:, None])
    frames = _frames(clip, begins, 1.0 / 30.0)
    return _planted(case, pushed, root.part, frames, size, "in the air")


def _planted(
    case: Case, clip: Clip, part: str, frames: tuple[float, float], size: float, where: str
) -> Planted:
    return Planted(
        clip=without_curves(clip),
        check="push",
        part=part,
        carriers=(part, "pelvis"),
        frames=frames,
        size=size,
        where=where,
        whole=True,
    )


def _frames(clip: Clip, begins_s: float, lasts_s: float = GATHERS_S) -> tuple[float, float]:
    step = float(clip.frames[1] - clip.frames[0])
    first = int(np.floor(begins_s / clip.dt_s + 1e-6))
    last = int(np.ceil((begins_s + lasts_s) / clip.dt_s - 1e-6))
    return float(clip.frames[0] + step * first), float(clip.frames[0] + step * last)


def _speed(clip: Clip, size: float) -> float:
    """Scene metres a second."""
    return size * float(np.sqrt(height_of(clip) / STORY_M)) if height_of(clip) else 0.0


def _gone(seconds: Floats) -> Floats:
    """(T,) how far a body goes, in seconds of its full speed: evenly up to it within a tenth of a
    second, evenly down from it, and slowly back."""
    up = np.clip(seconds, 0.0, GATHERS_S)
    down = np.clip(seconds - GATHERS_S, 0.0, LOSES_S)
    gone = 0.5 * up**2 / GATHERS_S + down - 0.5 * down**2 / LOSES_S
    back = smooth_step(np.clip((seconds - GATHERS_S - LOSES_S) / RETURNS_S, 0.0, 1.0))
    return np.asarray(gone * (1.0 - back))


def _off(before: Clip, after: Clip) -> float:
    """How far, at most, feet are off where they were, scene metres."""
    feet = [foot.joint for side in "LR" if (foot := target(before, f"foot.{side}"))]
    gap = after.positions[:, feet] - before.positions[:, feet]
    return float(np.linalg.norm(gap, axis=-1).max()) if feet else np.inf


def _flights(clip: Clip) -> list[tuple[int, int]]:
    return [(f.first, f.last) for f in build_basis(clip, Settings()).flights if f.whole]


def _flies(clip: Clip, begins_s: float) -> bool:
    """Whether the body is in the air within a fifth of a second of a moment."""
    at, near = round(begins_s / clip.dt_s), round(0.2 / clip.dt_s)
    return any(first - near <= at <= last + 2 * near for first, last in _flights(clip))


KINDS = (
    Kind(
        name="shove",
        check="push",
        says="a body on its feet gathers a speed to any side within .1 s, and loses it",
        unit="m/s",
        sizes={"root": (0.5, 0.8)},
        promised={},
        sets=("holds",),
        plant=plant_shove,
    ),
    Kind(
        name="shove_air",
        check="push",
        says="a body in the air gains a speed to any side, flights of 9 frames or more",
        unit="m/s",
        sizes={"root": (0.3, 0.5, 1.0)},
        promised={"root": (0.5, 0.5)},
        sets=("hops_24", "hops_30"),
        plant=plant_in_air,
    ),
)
