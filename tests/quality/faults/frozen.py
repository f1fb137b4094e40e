# SPDX-License-Identifier: GPL-3.0-or-later
"""A frozen body: the root stands dead for half a second or more while the limbs go on."""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip

from ..case import Case
from ..figure import Channels, channels_of, posed
from ..moves import height_of, target
from ..planted import Kind, Planted
from ..timing import blend, smooth_step, without_curves
from . import MOTION

Floats = NDArray[np.float64]

EDGE = 4
# The root comes to its stand and leaves it within these times, or stops at once.
EASE_IN_S, EASE_OUT_S = 0.2, 0.35
# Without the fault the root would go so far meanwhile, and hands and feet move about it so
# fast: a share of the height, heights a second.
GONE, LIVELY = 0.04, 0.2
ENDS = ("hand.L", "hand.R", "foot.L", "foot.R")


def plant_frozen(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """The root dead for `size` seconds; arms and legs keep their own channels."""
    clip = case.clip
    root = target(clip, part)
    frames = int(np.ceil(size / clip.dt_s))
    eased = bool(rng.integers(2))
    last = len(clip.frames) - EDGE - frames
    if root is None or last <= EDGE:
        return None
    path, height = clip.positions[:, root.joint], height_of(clip)
    starts = [at for at in range(EDGE, last) if _fits(clip, path, at, frames, height)]
    if not starts:
        return None
    at = int(rng.choice(starts))
    share = _share(len(path), at, frames, clip.dt_s, eased)
    return Planted(
        clip=without_curves(_stood(clip, root.joint, at, share)),
        check="frozen",
        part=root.part,
        carriers=("root", "pelvis", None),
        frames=(float(clip.frames[at]), float(clip.frames[at + frames])),
        size=frames * clip.dt_s,
        where="eased into" if eased else "stopped at once",
    )


def _share(count: int, at: int, frames: int, dt_s: float, eased: bool) -> Floats:
    """(T,) how much of the stand is shown: 1 while the root is dead, 0 where it is as it was."""
    number = np.arange(count, dtype=np.float64)
    into = (number - at) * dt_s / EASE_IN_S + 1.0 if eased else (number >= at).astype(float)
    return smooth_step(into) * (1.0 - smooth_step((number - at - frames) * dt_s / EASE_OUT_S))


def _stood(clip: Clip, root: int, at: int, share: Floats) -> Clip:
    """The clip whose root stands as on one sample; all else keeps its channels."""
    own = channels_of(clip)
    places, turns = own.places.copy(), own.turns.copy()
    places[:, root] += share[:, None] * (places[at, root] - places[:, root])
    stood = np.tile(turns[at, root], (len(turns), 1))
    turns[:, root] = blend(turns[:, root], stood, share)
    return posed(clip, Channels(places, turns))


def _fits(clip: Clip, path: Floats, at: int, frames: int, height: float) -> bool:
    """Whether the root would go somewhere meanwhile, and the limbs are alive."""
    gone = np.linalg.norm(path[at : at + frames + 1] - path[at], axis=-1).max()
    if gone < GONE * height:
        return False
    ends = [each.joint for part in ENDS if (each := target(clip, part)) is not None]
    about = clip.positions[at : at + frames + 1, ends] - path[at : at + frames + 1, None]
    speed = np.linalg.norm(np.diff(about, axis=0), axis=-1).mean() / clip.dt_s
    return bool(speed >= LIVELY * height)


KINDS = (
    Kind(
        name="frozen",
        check="frozen",
        says="the root dead in the world, arms and legs go on by their own channels",
        unit="s",
        sizes={"root": (0.5, 0.75, 1.0)},
        promised={"root": (0.5, 0.5)},
        sets=MOTION,
        plant=plant_frozen,
    ),
)
