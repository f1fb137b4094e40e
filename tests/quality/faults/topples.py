# SPDX-License-Identifier: GPL-3.0-or-later
"""Topples that hang: a simulated body that falls over stiffly, played slower from where it begins
to lean until something other than its feet touches.

Faster ones are not planted: of a topple of a third of a second at twice its pace four or five
frames are left at 24 a second, of which nothing tells how evenly it falls.
"""

import numpy as np
from numpy.typing import NDArray

from analysis import Settings
from analysis.basis import build_basis

from ..case import Case
from ..planted import Kind, Planted
from ..simulated import SimulatedCase, motion_of
from ..timing import sampled

Floats = NDArray[np.float64]

FALLS = ("simulated_24/falls", "simulated_30/falls")
# The fall begins at this lean of the centre of mass away from between the feet, and is a topple
# where it is not seen to begin beyond the other; degrees.
BEGINS_DEG, LATEST_DEG = 6.0, 12.0


def plant_slow(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """A topple that takes `size` times as long."""
    if not isinstance(case, SimulatedCase) or case.source != "stiff":
        return None
    span = _fall(case)
    if span is None:
        return None
    first, last = span
    clip = case.clip
    begin = first + rng.uniform(0.0, 1.0)
    inside = np.arange(begin, last, 1.0 / size)
    # Before it and after it as it was, at whole steps from where the fall begins and ends.
    before = np.arange(begin - 1.0, 0.0, -1.0)[::-1]
    after = np.arange(inside[-1] + 1.0, len(clip.frames) - 1.0)
    made = sampled(clip, np.concatenate((before, inside, after)))
    start = len(before)
    took, takes = (last - begin) * clip.dt_s, len(inside) * clip.dt_s
    return Planted(
        clip=made,
        check="gravity",
        part=part,
        carriers=(part, "pelvis"),
        frames=(float(made.frames[start]), float(made.frames[start + len(inside) - 1])),
        size=takes / took,
        where=f"{len(inside)} frames of fall",
        whole=True,
    )


def _fall(case: SimulatedCase) -> tuple[int, int] | None:
    """First sample at which the simulated centre of mass leans, and the last on which feet alone
    touch; None for a fall that begins before the clip."""
    basis = build_basis(case.clip, Settings(cycle="no"))
    motion = motion_of(case)
    feet = np.concatenate([each.sole.points for each in basis.soles], axis=1).mean(axis=1)
    away = motion.com - feet
    lean = np.degrees(np.arctan2(np.hypot(away[:, 0], away[:, 1]), away[:, 2]))
    others = np.flatnonzero(motion.touches[:, 1])
    last = int(others[0]) - 1 if len(others) else len(lean) - 1
    leant = np.flatnonzero(lean[: last + 1] >= BEGINS_DEG)
    if len(leant) == 0 or lean[leant[0]] > LATEST_DEG or last - leant[0] < 5:
        return None
    return int(leant[0]), last


KINDS = (
    Kind(
        name="topple_slow",
        check="gravity",
        says="a stiff body that falls over, simulated, takes longer to",
        unit="times",
        sizes={"root": (1.2, 1.4, 1.8)},
        promised={"root": (1.4, 1.4)},
        sets=FALLS,
        plant=plant_slow,
    ),
)
