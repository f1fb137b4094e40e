# SPDX-License-Identifier: GPL-3.0-or-later
"""Rounds cut out of any motion at its best match, and blended so that they close smoothly.

The motion that goes on after the cut is faded over into the beginning of it: sample 0 of the
round is the sample that follows its last one, and `BLEND_S` later the round is the motion's own.
The fade is a minimum-jerk curve (10u3 - 15u4 + 6u5; Flash & Hogan 1985), so that position,
velocity and acceleration go through both of its ends, and over the seam, as they were captured.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from .cycle_round import Round, in_place, travel_of
from .figure import Channels, channels_of

Floats = NDArray[np.float64]

BLEND_S = 0.3
# How long a round may be, seconds.
SHORTEST_S, LONGEST_S = 0.6, 2.2
# A pose further away than this, mean over the joints in metres, is no match worth fading over.
FURTHEST_M = 0.3
# Two cuts of one clip differ by at least this at their beginning or in their length.
APART_S = 0.2


@dataclass(frozen=True)
class Cut:
    """A round from sample `first` on, `length` samples long; its poses miss by `gap_m`."""

    first: int
    length: int
    gap_m: float


def best_cuts(clip: Clip, most: int) -> list[Cut]:
    """Up to `most` cuts, the nearest poses first, each unlike the ones before it."""
    fade = _fade(clip)
    shortest, longest = round(SHORTEST_S * clip.fps), round(LONGEST_S * clip.fps)
    apart = APART_S * clip.fps
    stop = len(clip.frames) - fade - 1
    found = [
        Cut(first, length, _gap(clip, first, length, fade))
        for first in range(0, stop, max(round(clip.fps / 30.0), 1))
        for length in range(shortest, min(longest, stop - first) + 1)
    ]
    kept: list[Cut] = []
    for cut in sorted((c for c in found if c.gap_m < FURTHEST_M), key=lambda c: c.gap_m):
        near = [
            abs(cut.first - k.first) < apart and abs(cut.length - k.length) < apart for k in kept
        ]
        if len(kept) < most and not any(near):
            kept.append(cut)
    return kept


def cut_round(clip: Clip, cut: Cut) -> Round:
    """The round of a cut, its travel and turn as captured."""
    fade = _fade(clip)
    turn, gap = carrying(clip, cut.first, cut.length)
    channels = channels_of(clip)
    root = int(np.flatnonzero(clip.parents < 0)[0])
    places = channels.places[cut.first : cut.first + cut.length + fade].copy()
    turns = channels.turns[cut.first : cut.first + cut.length + fade].copy()
    back = np.array([np.cos(turn / 2.0), 0.0, 0.0, -np.sin(turn / 2.0)])
    beyond = places[cut.length :, root] - [*gap, 0.0]
    places[cut.length :, root] = quat.rotate(np.broadcast_to(back, (fade, 4)), beyond)
    turns[cut.length :, root] = quat.multiply(back, turns[cut.length :, root])
    u = (np.arange(fade) / fade)[:, None, None]
    own = u**3 * (10.0 - 15.0 * u + 6.0 * u**2)
    later, sooner = turns[cut.length :], turns[:fade]
    same = np.sign(np.sum(later * sooner, axis=-1, keepdims=True))
    places[:fade] = own * places[:fade] + (1.0 - own) * places[cut.length :]
    turns[:fade] = quat.normalise(own * sooner + (1.0 - own) * np.where(same < 0, -later, later))
    whole = Channels(places[: cut.length], quat.continuous(turns[: cut.length]))
    # The carrying is about the world's origin: the round's arc begins under its first root.
    travel = travel_of(turn, gap)
    return Round(clip, in_place(whole, root, turn, travel), turn, travel)


def carrying(clip: Clip, first: int, length: int) -> tuple[float, Floats]:
    """Turn about the vertical and shift (2,) that lay a sample best on the one a round later.

    Over the samples of the fade, so that poses and their motion fit. The plane case of Kabsch
    1976, Acta Cryst. A32:922.
    """
    fade = _fade(clip)
    here = clip.positions[first : first + fade].reshape(-1, 3)
    there = clip.positions[first + length : first + length + fade].reshape(-1, 3)
    p, q = here - here.mean(axis=0), there - there.mean(axis=0)
    sine = float(np.sum(p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]))
    turn = float(np.arctan2(sine, np.sum(p[:, :2] * q[:, :2])))
    return turn, there.mean(axis=0)[:2] - _turned(turn, here.mean(axis=0)[:2])


def _alike(a: Cut, b: Cut, apart: float) -> bool:
    return abs(a.first - b.first) < apart and abs(a.length - b.length) < apart


def _gap(clip: Clip, first: int, length: int, fade: int) -> float:
    """Mean distance of the joints, over the fade, once travel and turn are taken out."""
    turn, gap = carrying(clip, first, length)
    here = clip.positions[first : first + fade].copy()
    here[..., :2] = _turned(turn, here[..., :2]) + gap
    there = clip.positions[first + length : first + length + fade]
    return float(np.linalg.norm(there - here, axis=-1).mean())


def _turned(angle: float, points: Floats) -> Floats:
    cos, sin = np.cos(angle), np.sin(angle)
    return np.asarray(points @ np.array([[cos, sin], [-sin, cos]]))


def _fade(clip: Clip) -> int:
    return round(BLEND_S * clip.fps)
