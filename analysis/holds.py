# SPDX-License-Identifier: GPL-3.0-or-later
"""Held poses: stretches in which the whole figure stands dead, as a choice of the shot."""

import itertools

import numpy as np

from .basis import Basis
from .exposure import LONGEST, SAME_SHARE, changes_of
from .words import frame_text

# A pose that is shown for this long is held.
HOLD_S = 0.25
MOST_TOLD = 3


def find_holds(basis: Basis) -> list[tuple[int, int]]:
    """First and last sample of every stretch in which no judged body moves at all.

    At least a quarter second, and longer than a pose on twos, threes or fours is shown.
    """
    judged = [n for n, body in enumerate(basis.bodies) if body.judged]
    carried = np.linalg.norm(np.diff(basis.positions[:, basis.lead], axis=0), axis=-1)
    changes = changes_of(basis)[:, judged].any(axis=1)
    changes |= carried > SAME_SHARE * basis.height.scene_m  # a mover may carry a dead figure
    moves = np.concatenate(([True], changes, [True]))
    least = max(round(HOLD_S / basis.dt_s), LONGEST + 1)
    ends = np.flatnonzero(moves)
    return [
        (int(first), int(last) - 1)
        for first, last in itertools.pairwise(ends)
        if last - first > least
    ]


def holds_text(basis: Basis) -> str:
    """A sentence for the holds; empty where there are none, or where all is one."""
    holds = find_holds(basis)
    if not holds or holds[0] == (0, len(basis.frames) - 1):
        return ""
    told = [
        f"{frame_text(basis.frames[first])} to {frame_text(basis.frames[last])}"
        for first, last in holds[:MOST_TOLD]
    ]
    more = f", and {len(holds) - MOST_TOLD} more" if len(holds) > MOST_TOLD else ""
    who = "The ball" if basis.clip.is_ball else "The whole figure"
    return f"{who} is held still from frame {', from '.join(told)}{more}."
