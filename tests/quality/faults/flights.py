# SPDX-License-Identifier: GPL-3.0-or-later
"""Flights: one of a shot's is played longer or shorter, hangs at its top or turns sharply there,
or goes further than it was pushed.

All of the figure is moved, feet and all: in the air nothing holds them.
"""

import numpy as np
from numpy.typing import NDArray

from analysis import Clip, Settings
from analysis.basis import Basis, build_basis
from analysis.basis.flights import Flight
from analysis.hang import FREE_SHARE, TOP_SHARE, hang_of

from ..case import Case
from ..figure import rebuild
from ..moves import height_of, target
from ..planted import Kind, Planted
from ..timing import sampled, without_curves
from . import STORY_M

Floats = NDArray[np.float64]

HOPS = ("hops_24", "hops_30")
# What is shorter than this afterwards is not judged; a flight leaves about a frame before it is
# seen to, and lands a frame after.
SHORTEST_S, BEYOND = 0.27, 1
LEAST_SAMPLES = 7


def plant_time(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """One flight of several played `size` % longer, or shorter, than it was."""
    longer = bool(rng.integers(2))
    times = 1.0 + (size if longer else -size) / 100.0
    basis = build_basis(case.clip, Settings(cycle="no"))
    flight = _any(basis, rng, SHORTEST_S / min(times, 1.0), others=1)
    if flight is None:
        return None
    first, last = flight.first - BEYOND, flight.last + BEYOND
    more = (times - 1.0) * (last - first)
    at = np.arange(int(len(basis.frames) + more), dtype=np.float64)
    inside = first + np.clip(at - first, 0.0, times * (last - first)) / times
    source = np.where(at <= first, at, np.where(at >= last + more, at - more, inside))
    clip = sampled(case.clip, source)
    return _planted(
        clip, "gravity", (first, last + more), size, f"{'longer' if longer else 'shorter'}"
    )


def plant_hang(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """One flight that spends `size` % more, or less, of its time in the top quarter."""
    basis = build_basis(case.clip, Settings(cycle="no"))
    flight = _any(basis, rng, SHORTEST_S)
    if flight is None or basis.com is None:
        return None
    sharp = bool(rng.integers(2))
    share = FREE_SHARE + (-size if sharp else size) / 100.0
    power = np.log(TOP_SHARE) / np.log(share)
    heights = basis.com[flight.first : flight.last + 1, 2]
    found = hang_of(heights)
    if found is None:
        return None
    at = np.arange(len(heights), dtype=np.float64)
    span = np.where(at < found.apex, found.apex, len(heights) - 1.0 - found.apex)
    ends = np.where(at < found.apex, heights[0], heights[-1])
    shaped = found.height - (found.height - ends) * (np.abs(at - found.apex) / span) ** power
    shift = np.zeros((len(basis.frames), 3))
    shift[flight.first : flight.last + 1, 2] = shaped - heights
    now = hang_of(shaped)
    if now is None:
        return None
    return _planted(
        _carried(case.clip, shift),
        "hang_time",
        (flight.first, flight.last),
        100.0 * abs(now.share - FREE_SHARE),
        "turns sharply" if sharp else "hangs",
    )


def _any(
    basis: Basis, rng: np.random.Generator, shortest_s: float, others: int = 0
) -> Flight | None:
    """One of the whole flights that last so long, where there are others that can be judged."""
    whole = [each for each in basis.flights if each.whole and each.judged]
    judged = [each for each in whole if each.samples * basis.dt_s >= SHORTEST_S]
    long = [
        each
        for each in judged
        if each.samples * basis.dt_s >= shortest_s and each.samples >= LEAST_SAMPLES
    ]
    if not long or len(judged) - 1 < others:
        return None
    return long[int(rng.integers(len(long)))]


def _carried(clip: Clip, shift: Floats) -> Clip:
    """The clip with all of the figure moved by (T,3) metres."""
    hips = target(clip, "root")
    assert hips is not None
    return without_curves(rebuild(clip, hips.joint, shift=shift))


def _planted(
    clip: Clip, check: str, samples: tuple[float, float], size: float, where: str
) -> Planted:
    step = float(clip.frames[1] - clip.frames[0])
    first, last = (float(clip.frames[0]) + step * at for at in samples)
    return Planted(
        clip=clip,
        check=check,
        part="root",
        carriers=("root",),
        frames=(first, last),
        size=size,
        where=where,
        whole=True,
    )


KINDS = (
    Kind(
        name="flight_time",
        check="gravity",
        says="one flight of a shot's played longer or shorter by this share of its time",
        unit="%",
        sizes={"root": (10.0, 15.0, 20.0, 30.0)},
        promised={"root": (20.0, 20.0)},
        sets=HOPS,
        plant=plant_time,
    ),
    Kind(
        name="flight_hang",
        check="hang_time",
        says="a flight that hangs at its top, or turns sharply there: time in the top quarter",
        unit="% of the flight",
        sizes={"root": (15.0, 20.0, 30.0)},
        promised={"root": (20.0, 20.0)},
        sets=HOPS,
        plant=plant_hang,
    ),
)
