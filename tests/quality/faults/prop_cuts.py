# SPDX-License-Identifier: GPL-3.0-or-later
"""A blade turned into the body for some frames."""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip

from ..blade import NAME, blade_points
from ..case import Case
from ..figure import rebuild
from ..moves import height_of
from ..planted import Planted
from ..skins import clearance, skins_of
from ..timing import without_curves
from . import STORY_M
from .armed_clips import EDGE, PROP, blade_way, frames, side_of, unit, weights

Floats = NDArray[np.float64]

# By this many degrees at the most, over this many frames.
MOST_TURN_DEG, CUT_FRAMES = 60.0, (2, 5)
PARTS = {"hand": ("hand",), "head": ("head",), "torso": ("chest", "root"), "leg": ("thigh", "shin")}


def plant_cut(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """The blade is turned in the hand, for some frames, so that it is `size` cm (at 1.7 m) inside
    a skin at the deepest, and in no other."""
    clip = case.clip
    side, metres = side_of(clip), size / 100.0 * height_of(clip) / STORY_M
    skins = skins_of(clip, side)
    chosen = [n for n, skin in enumerate(skins) if skin[0].partition(".")[0] in PARTS[part]]
    places = [(n, t) for n in chosen for t in _reachable(clip, skins[n][1])]
    for _ in range(3):
        if not places:
            return None
        which, at = places[int(rng.integers(len(places)))]
        half = int(rng.integers(*CUT_FRAMES))
        cut = _cut_to(clip, side, which, at, half, metres)
        if cut is not None:
            return Planted(
                clip=without_curves(cut),
                check="prop_clash",
                part=PROP,
                carriers=(PROP, f"hand.{side}"),
                frames=frames(clip, at - half, at + half),
                size=size,
                where=f"into the {skins[which][0]}, {2 * half - 1} frames",
            )
    return None


def _reachable(clip: Clip, rod: Floats) -> list[int]:
    """Samples at which the blade can be turned into a rod (T,2,3)."""
    grip, way = clip.positions[:, clip.joint(NAME)], blade_way(clip)
    gap = rod.mean(axis=1) - grip
    far = np.linalg.norm(gap, axis=-1)
    long = float(np.linalg.norm(blade_points(clip)["tip"]))
    angle = np.degrees(np.arccos(np.clip(np.sum(unit(gap) * way, axis=-1), -1.0, 1.0)))
    height = height_of(clip)
    fits = (far < 0.95 * long) & (far > 0.1 * height) & (angle < MOST_TURN_DEG)
    edge = EDGE + CUT_FRAMES[1]
    return [int(t) for t in np.flatnonzero(fits) if edge <= t < len(far) - edge]


def _cut_to(clip: Clip, side: str, which: int, at: int, half: int, metres: float) -> Clip | None:
    """The blade turned at a sample towards the middle of a skin's rod until it is so deep in it."""
    near = slice(at - half, at + half + 1)
    short = clip.cut(float(clip.frames[near.start]), float(clip.frames[near.stop - 1]))
    skins = skins_of(short, side)
    joint = clip.joint(NAME)
    way = blade_way(clip)[at]
    gap = unit(skins[which][1][half].mean(axis=0) - clip.positions[at, joint])
    axis, angle = unit(np.cross(way, gap)), float(np.arccos(np.clip(way @ gap, -1.0, 1.0)))
    weight = weights(len(clip.frames), at, at, half)

    low, high = 0.0, 1.0
    for _ in range(10):
        share = 0.5 * (low + high)
        cut = rebuild(short, joint, turn=_turn(axis, share * angle * weight[near]))
        depth = -clearance(cut, side, between=1, along=80, skins=skins)
        deepest = float(depth[:, which].max())
        low, high = (share, high) if deepest < metres else (low, share)
    apart = [n for n, skin in enumerate(skins) if not _joined(skin[0], skins[which][0])]
    if abs(deepest - metres) > 0.1 * metres or depth[:, apart].max() > 0.0:
        return None
    return rebuild(clip, joint, turn=_turn(axis, share * angle * weight))


def _turn(axis: Floats, angle: Floats) -> Floats:
    """(T,4) turns about an axis (3,), the identity to the bit where the angle is 0."""
    turn = np.concatenate((np.cos(0.5 * angle)[:, None], np.sin(0.5 * angle)[:, None] * axis), 1)
    turn[angle == 0.0] = [1.0, 0.0, 0.0, 0.0]
    return turn


def _joined(one: str, other: str) -> bool:
    """Whether two parts are one, or joined, so that one cut may go into both."""
    kinds, sides = ({part.partition(".")[n] for part in (one, other)} for n in (0, 2))
    pairs = ({"hand", "forearm"}, {"chest", "root"}, {"thigh", "shin"})
    return one == other or (len(sides) == 1 and kinds in pairs)
