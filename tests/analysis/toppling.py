# SPDX-License-Identifier: GPL-3.0-or-later
"""A figure that topples about the edge of its feet, stiff or folding, as a formula has it."""

import numpy as np
from figures import NAMES, OFFSETS, PARENTS, to_clip
from scipy.integrate import solve_ivp

from analysis import quaternions as quat

GRAVITY = 9.80665
HEIGHT_M = 1.78
# The soles: toes before the ankles, the heels a third of that behind them; metres, facing -Y.
TOES_Y, HEELS_Y = -0.16, 0.16 / 3.0


def com_at_rest():
    """(2,) y and z of the standing figure's centre of mass: Winter's shares (2009, Table 4.1) of
    segments told by figures.SKELETON, whose joints all stand above each other but for the feet."""
    hip, shoulder, hand = 0.95, 1.45, 0.89
    heights = {
        "head": (0.081, 1.62 + 0.35 * 0.16),
        "trunk": (0.497, 0.5 * (hip + shoulder)),
        "upper_arm": (0.056, shoulder - 0.436 * 0.3),
        "forearm": (0.032, 1.15 - 0.430 * 0.26),
        "hand": (0.012, hand - 0.506 * 0.15),
        "thigh": (0.200, hip - 0.433 * 0.45),
        "shin": (0.093, 0.5 - 0.433 * 0.42),
        "foot": (0.029, 0.04),
    }
    return np.array([-0.029 * 0.5 * 0.16, sum(mass * z for mass, z in heights.values())])


def leans(start_deg, rate2, fps, *, end_deg=80.0, before=6, after=12, speed=0.0):
    """(T,) radians: the centre of mass stands at a lean about the edge, topples from there as
    its equation has it, and lies."""

    def there(_time, state):
        return state[0] - np.radians(end_deg)

    there.terminal = True
    start = [np.radians(start_deg), speed]
    path = solve_ivp(
        lambda _t, s: [s[1], rate2 * np.sin(s[0])],
        (0.0, 20.0),
        start,
        events=there,
        dense_output=True,
        rtol=1e-9,
        atol=1e-12,
    )
    time = np.arange(0.0, path.t_events[0][0], 1.0 / fps)
    fallen = path.sol(time)[0]
    return np.concatenate((np.full(before, fallen[0]), fallen, np.full(after, fallen[-1])))


def toppled(lean, *, fps=24.0, scale=1.0, backward=False, fold=None, **meta):
    """The figure, whose centre of mass leans about the line of its toes (or heels) by (T,) radians.

    fold   (T,) radians by which its knees give way, the hips going down over them
    """
    count = len(lean)
    rest = np.zeros((len(NAMES), 3))
    for j, parent in enumerate(PARENTS):
        rest[j] = OFFSETS[j] + (0.0 if parent < 0 else rest[parent])
    place = np.tile(rest, (count, 1, 1))
    if fold is not None:
        drop = 0.87 * (1.0 - np.cos(fold))
        above = [n for n, name in enumerate(NAMES) if not name.startswith(("shin", "foot"))]
        place[:, above, 2] -= drop[:, None]
        knees = [NAMES.index("shin.L"), NAMES.index("shin.R")]
        place[:, knees, 2] -= 0.5 * drop[:, None]
        place[:, knees, 1] -= 0.43 * np.sin(fold)[:, None]
    edge = np.array([0.0, HEELS_Y if backward else TOES_Y, 0.0])
    away = com_at_rest() - edge[1:]
    angle = (-1.0 if backward else 1.0) * np.asarray(lean) + np.arctan2(away[0], away[1])
    half = 0.5 * angle
    turn = np.stack((np.cos(half), np.sin(half), 0 * half, 0 * half), axis=-1)
    turns = np.repeat(turn[:, None], len(NAMES), axis=1)
    return to_clip(turns, (quat.rotate(turns, place - edge) + edge) * scale, fps, scale, meta)
