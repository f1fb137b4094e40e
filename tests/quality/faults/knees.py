# SPDX-License-Identifier: GPL-3.0-or-later
"""Knees that snap near full reach: off their place for a frame or two."""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from ..case import Case
from ..figure import rebuild
from ..moves import any_side, height_of, reach, target
from ..planted import Kind, Planted
from ..timing import without_curves
from . import MOTION, STORY_M
from .limbs import EDGE, Leg, leg_of

Floats = NDArray[np.float64]

# Near full reach: knees bent by less than this.
NEAR_STRAIGHT_DEG = 20.0


def plant_knee_pop(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A knee that jumps `size` cm (at 1.7 m) off its place between hip and ankle, near full reach,
    for a frame or two: the foot a little nearer or further, or the knee turned about the leg.

    None where the clip's own knee turns so sharply that this makes its path smoother: a mend.
    """
    clip = case.clip
    shown = any_side(clip, "foot", rng)
    width = int(rng.integers(1, 3))
    count = len(clip.frames)
    if shown is None or count < 2 * EDGE + width + 1:
        return None
    leg = leg_of(clip, shown)
    bent = np.lib.stride_tricks.sliding_window_view(leg.bend_deg, width + 2).max(axis=1)
    starts = np.arange(EDGE, count - EDGE - width)
    fits = starts[bent[starts - 1] <= NEAR_STRAIGHT_DEG]
    if len(fits) == 0:
        return None
    at = int(rng.choice(fits))
    block = slice(at, at + width)
    wanted = size / 100.0 * height_of(clip) / STORY_M
    way = str(rng.choice(("reach", "reach", "swivel")))
    moved = _reached if way == "reach" else _swivelled
    found = moved(clip, leg, block, wanted, rng)
    if found is None:
        return None
    now = leg_of(found, shown).off_line
    off = np.linalg.norm(now - leg.off_line, axis=-1)[block].max()
    if abs(off - wanted) > 0.1 * wanted or sharpness(now, block) <= sharpness(leg.off_line, block):
        return None
    return Planted(
        clip=without_curves(found),
        check="knee_pop",
        part=f"shin.{shown.side}",
        carriers=tuple(f"{name}.{shown.side}" for name in ("shin", "thigh", "foot")),
        frames=(float(clip.frames[at]), float(clip.frames[at + width - 1])),
        size=float(off) * 100.0 * STORY_M / height_of(clip),
        where=f"{way}, bent {leg.bend_deg[at]:.0f} deg",
    )


def sharpness(path: Floats, block: slice) -> float:
    """How sharply a path (T,3) turns in a block of samples and next to it: the sum of the squares
    of how its steps change, square metres."""
    turns = np.diff(path[block.start - 2 : block.stop + 2], n=2, axis=0)
    return float(np.sum(turns**2))


def _reached(
    clip: Clip, leg: Leg, block: slice, wanted: float, rng: np.random.Generator
) -> Clip | None:
    """The foot moved along the leg, so far that the knee comes out, or goes in, by `wanted`."""
    out = np.linalg.norm(leg.off_line[block], axis=-1)
    outward = bool(rng.integers(2)) or bool((out < wanted).any())
    goal = out + (wanted if outward else -wanted)
    upper, lower = np.linalg.norm(np.diff(leg.paths[block], axis=1), axis=-1).T
    if (goal >= np.minimum(upper, lower)).any():
        return None
    span = np.sqrt(upper**2 - goal**2) + np.sqrt(lower**2 - goal**2)
    along = leg.way[block]
    apart = np.linalg.norm(along, axis=-1, keepdims=True)
    shift = np.zeros((len(clip.frames), 3))
    shift[block] = along / apart * (span[:, None] - apart)
    return reach(clip, leg.foot, shift)


def _swivelled(
    clip: Clip, leg: Leg, block: slice, wanted: float, rng: np.random.Generator
) -> Clip | None:
    """The knee turned about the line from hip to ankle, as its pole does it; the foot stays."""
    out = np.linalg.norm(leg.off_line[block], axis=-1)
    if (wanted > out).any():
        return None
    turn = np.tile([1.0, 0.0, 0.0, 0.0], (len(clip.frames), 1))
    along = leg.way[block] / np.linalg.norm(leg.way[block], axis=-1, keepdims=True)
    half = np.arcsin(wanted / (2.0 * out)) * (1.0 if rng.integers(2) else -1.0)
    turn[block] = np.concatenate((np.cos(half)[:, None], np.sin(half)[:, None] * along), axis=1)
    turned = rebuild(clip, target(clip, f"thigh.{leg.foot.side}").joint, turn=turn)
    back = quat.conjugate(turn)
    return rebuild(turned, leg.foot.joint, turn=back)


KINDS = (
    Kind(
        name="knee_pop",
        check="knee_pop",
        says="a knee off its place for a frame or two, the leg bent by less than 20 degrees",
        unit="cm",
        sizes={"foot": (1.0, 2.0, 3.0)},
        promised={"foot": (2.0, 2.0)},
        sets=MOTION,
        plant=plant_knee_pop,
    ),
)
