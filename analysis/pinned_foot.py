# SPDX-License-Identifier: GPL-3.0-or-later
"""What only a pin in the floor would give a foot over which a stiff body topples.

A rod that falls about its foot leans on it at first, and pulls on it from some 50 degrees of lean
on: it goes round its foot ever faster. A foot on a floor would slip there. One that is keyed to
stay gives the pull all the same, which nobody's push makes (rigid bodies: m w^2 l towards the foot,
and what its gain in speed needs across).
"""

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .basis.touch_points import TOUCH_SHARE
from .free_fall import GRAVITY
from .tippings import Tipping, find_tippings, is_stiff
from .topple_times import rod_rate2

Floats = NDArray[np.float64]


def pin_force(basis: Basis, reach: int, friction: float) -> Floats:
    """(T,3) body weights: level towards the foot, what friction does not hold of its pull, and
    what pulls down; the most of `reach` samples around. 0 where no stiff body topples."""
    most = np.zeros((len(basis.frames), 3))
    for each in find_tippings(basis):
        pull, down = _pulls(basis, each, friction)
        for force, way in ((pull, np.append(-each.way, 0.0)), (down, np.array([0.0, 0.0, -1.0]))):
            most += _widest(force, reach)[:, None] * way
    return most


def without_pin(left: Floats, pin: Floats) -> Floats:
    """What is left (T,3) of a force without as much of it as goes along with a pin's (T,3)."""
    kept = left.copy()
    for axes in (slice(0, 2), slice(2, 3)):
        size = np.linalg.norm(pin[:, axes], axis=1)
        way = pin[:, axes] / np.maximum(size, 1e-9)[:, None]
        along = np.clip(np.sum(left[:, axes] * way, axis=1), 0.0, size)
        kept[:, axes] -= along[:, None] * way
    return kept


def _pulls(basis: Basis, tipping: Tipping, friction: float) -> tuple[Floats, Floats]:
    """(T,) twice, body weights: the level pull towards the foot beyond friction, and the pull down,
    of a rod that turns about it as this body does and that nothing but its weight turns further."""
    lean, at = tipping.lean, np.arange(tipping.turns, _down(basis, tipping) + 1)
    length, speed = np.linalg.norm(tipping.away[at], axis=1), np.gradient(lean[at], basis.dt_s)
    gravity = GRAVITY / basis.height.to_story
    across = rod_rate2(basis.height.scene_m, gravity) * np.sin(lean[at]) * length / gravity
    along = speed**2 * length / gravity
    level = along * np.sin(lean[at]) - across * np.cos(lean[at])
    up = 1.0 - across * np.sin(lean[at]) - along * np.cos(lean[at])
    pull, down = np.zeros(len(lean)), np.zeros(len(lean))
    pull[at] = np.maximum(level - friction * np.maximum(up, 0.0), 0.0)
    down[at] = np.maximum(-up, 0.0)
    return pull, down


def _down(basis: Basis, tipping: Tipping) -> int:
    """The sample up to which it turns on as it is about that foot, whatever touches by then."""
    last, height = tipping.lands, basis.height.scene_m
    moved = np.linalg.norm(tipping.edge - tipping.edge[last], axis=1)
    there = (moved < TOUCH_SHARE * height) & basis.valid.all(axis=1)
    while last < len(there) - 1 and there[last + 1] and tipping.lean[last + 1] > tipping.lean[last]:
        last += 1
    return last if is_stiff(basis, tipping.away, tipping.start, last) else tipping.lands


def _widest(values: Floats, reach: int) -> Floats:
    """(T,) the largest of values (T,) within `reach` samples."""
    padded = np.pad(values, reach)
    return np.asarray(np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1).max(axis=1))
