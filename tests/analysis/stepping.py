# SPDX-License-Identifier: GPL-3.0-or-later
"""A figure that steps on the spot: how fast its feet come down is known."""

import numpy as np
from walker import ANKLE, steer

# Each foot is in the air for so long, so high, and stands for as long again and a little.
AIR_S, HIGH_M, ROUND_S = 0.64, 0.16, 1.4


def stepping(*, fps=24.0, rounds=5, slammed=(), sunk=(), held=(), soft=False, **meta):
    """Steps as parabolas, so that feet come down at 4 h / T = 1 m/s; `soft` ones slow down.

    slammed   (side, round) of steps that stay at their top and then come down evenly, twice as fast
    sunk      (side, round, metres) of stands that are so much lower
    held      (side, round, metres, seconds) of steps that come down no lower than that until so
              long before they land
    """
    time = np.arange(round(rounds * ROUND_S * fps) + 1) / fps
    root = np.tile([0.0, 0.0, 0.80], (len(time), 1))
    ankles = {}
    for side, late in (("L", 0.0), ("R", 0.5)):
        at = (time - late * ROUND_S - 0.05) / ROUND_S  # rounds since it first left
        u = np.clip((at % 1.0) * ROUND_S / AIR_S, 0.0, 1.0)
        height = HIGH_M * (np.sin(np.pi * u) ** 2 if soft else 4.0 * u * (1.0 - u))
        for which, number in slammed:
            if which == side:
                mine = (np.floor(at) == number) & (u > 0.5)
                height[mine] = np.minimum(HIGH_M, 8.0 * HIGH_M * (1.0 - u[mine]))
        for which, number, metres, seconds in held:
            if which == side:
                mine = (np.floor(at) == number) & (u > 0.5)
                left = (1.0 - u[mine]) * AIR_S / seconds
                height[mine] = np.maximum(height[mine], metres) * np.minimum(left, 1.0)
        for which, number, metres in sunk:
            if which == side:
                mine = np.floor(at) == number
                height[mine] -= metres * np.minimum(1.0, 4.0 * u[mine])
                after = np.floor(at) == number + 1
                height[after] -= metres * np.maximum(1.0 - 4.0 * u[after], 0.0)
        x = 0.1 if side == "L" else -0.1
        ankles[side] = np.stack((0.0 * time + x, 0.0 * time, ANKLE + height), axis=-1)
    return steer(root, ankles, fps, **meta)


def lands(fps, side, number):
    """The frame of a landing, as a fraction."""
    late = 0.05 + (0.0 if side == "L" else 0.5 * ROUND_S)
    return 1.0 + (late + number * ROUND_S + AIR_S) * fps
