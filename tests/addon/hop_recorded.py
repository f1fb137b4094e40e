# SPDX-License-Identifier: GPL-3.0-or-later
"""What the tests of the hop measure: both passes as evaluated motion, and distances to the set."""

from dataclasses import dataclass

import numpy as np
from stepped import Bones, built, step, vertices

from demo_scenes.porter import hop_crate
from demo_scenes.porter.hop_crate.set import AHEAD, TOP, WIDTH
from demo_scenes.porter.hop_crate.timing import FIRST, LAND_1, LAND_2, LAST, LEAVE_1, LEAVE_2

FRAMES = np.arange(FIRST, LAST + 1)
FLIGHTS = ((LEAVE_1, LAND_1), (LEAVE_2, LAND_2))
GRAVITY = 9.80665  # 3rd CGPM 1901


@dataclass(frozen=True, kw_only=True)
class Pass(Bones):
    """Evaluated motion: vertices of the figure (T,V,3) and of its boathook (T,W,3) as well."""

    body: np.ndarray
    boathook: np.ndarray


def record(polished):
    def look(graph, _seen):
        return [vertices(graph, name) for name in ("porter_body", "boathook")]

    bones, seen = step(built(hop_crate, polished=polished), FRAMES, look)
    body, boathook = (np.array(each) for each in zip(*seen, strict=True))
    return Pass(body=body, boathook=boathook, **bones)


def at(first, last):
    """The samples of a run of frames, both ends included."""
    return slice(first - FIRST, last - FIRST + 1)


def over_crate(points):
    ahead = -points[..., 1]
    return (np.abs(points[..., 0]) < WIDTH / 2) & (ahead > AHEAD[0]) & (ahead < AHEAD[1])


def clearance(points):
    """(T,) metres from the lowest point of each frame to the floor or the crate's top."""
    return (points[..., 2] - np.where(over_crate(points), TOP, 0.0)).min(axis=1)


def crate_gap(points):
    """(T,) metres from the crate, in any direction, to the nearest point of each frame."""
    low, high = (-WIDTH / 2, -AHEAD[1], 0.0), (WIDTH / 2, -AHEAD[0], TOP)
    return np.linalg.norm(points - np.clip(points, low, high), axis=-1).min(axis=1)


def fitted_fall(height):
    """m/s2 of a path (N,) of one sample a frame."""
    return -2.0 * np.polyfit(np.arange(len(height)) / 24.0, height, 2)[0]


def near_top(height):
    """Share of the time in the top quarter of rise and fall, over a fine curve through (N,)."""
    time = np.linspace(-1.0, 1.0, len(height))
    fine = np.polynomial.Polynomial.fit(time, height, 7)(np.linspace(-1.0, 1.0, 4001))
    apex = int(fine.argmax())
    halves = (fine[: apex + 1], fine[apex:])
    return sum(int((half > half.min() + 0.75 * np.ptp(half)).sum()) for half in halves) / len(fine)
