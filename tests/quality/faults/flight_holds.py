# SPDX-License-Identifier: GPL-3.0-or-later
"""Flights that stand at their top: frames are put in there, and the rest is as it was."""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip

from ..case import Case
from ..moves import height_of
from ..planted import Kind, Planted
from ..timing import sampled
from . import STORY_M
from .flights import HOPS, SHORTEST_S, _any, _basis, _carried, _planted

Floats = NDArray[np.float64]

# Before and after its top so many samples of the flight are played slowly.
AROUND = 0.5
# A hold that moves drifts up by so much at most, metres at 1.7 m.
DRIFT_M = 0.03


def plant_hold(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """One flight held for `size` more seconds at its top: all of the figure stands there, or
    drifts up; in half of them it travels on as evenly as before."""
    basis = _basis(case)
    flight = _any(basis, rng, SHORTEST_S)
    if flight is None or basis.com is None:
        return None
    top = float(flight.first + np.argmax(basis.com[flight.first : flight.last + 1, 2]))
    more = round(size / basis.dt_s)
    if not flight.first + 2 <= top <= flight.last - 2:
        return None
    at = np.arange(len(basis.frames) + more, dtype=np.float64)
    held = np.clip((at - top + AROUND) / (more + 2.0 * AROUND), 0.0, 1.0)
    source = np.where(held <= 0.0, at, np.where(held < 1.0, top + AROUND * (2.0 * held - 1.0), 0.0))
    source = np.where(held >= 1.0, at - more, source)
    clip = sampled(case.clip, source)
    ends = (flight.first - 1, flight.last + 1 + more)
    shift = _drift(case.clip, at, top, ends, held, rng)
    if travels := bool(rng.integers(2)):
        shift += _travel(basis.com, source, ends)
    where = "travels on" if travels else "stands"
    return _planted(_carried(clip, shift), "hang_time", (top, top + more), size, where)


def _drift(
    clip: Clip,
    at: Floats,
    top: float,
    ends: tuple[int, int],
    held: Floats,
    rng: np.random.Generator,
) -> Floats:
    """(T,3) up while it is held, and down again on the way to the ground; none in half of them."""
    way = np.zeros((len(at), 3))
    if rng.integers(2):
        more = np.count_nonzero((held > 0.0) & (held < 1.0))
        down = np.clip((ends[1] - at) / (ends[1] - top - more), 0.0, 1.0)
        up = rng.uniform(0.3, 1.0) * DRIFT_M / STORY_M * height_of(clip)
        way[:, 2] = up * np.where(held < 1.0, held, down)
    return way


def _travel(com: Floats, source: Floats, ends: tuple[int, int]) -> Floats:
    """(T,3) what makes the way over the ground even from one end to the other."""
    way = np.zeros((len(source), 3))
    first, last = ends
    share = np.linspace(0.0, 1.0, last - first + 1)[:, None]
    now = np.stack(
        [np.interp(source[first : last + 1], np.arange(len(com)), com[:, n]) for n in (0, 1)],
        axis=1,
    )
    way[first : last + 1, :2] = now[0] + share * (now[-1] - now[0]) - now
    return way


KINDS = (
    Kind(
        name="flight_held",
        check="hang_time",
        says="a flight that stands at its top for more seconds",
        unit="s",
        sizes={"root": (0.15, 0.25, 0.5)},
        promised={"root": (0.25, 0.25)},
        sets=HOPS,
        plant=plant_hold,
    ),
)
