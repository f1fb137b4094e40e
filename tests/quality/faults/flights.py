# SPDX-License-Identifier: GPL-3.0-or-later
"""Flights: one of a shot's is played longer or shorter, hangs at its top or turns sharply there,
or goes further than it was pushed.

All of the figure is moved, feet and all: in the air nothing holds them.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from analysis import Clip, Settings
from analysis.basis import Basis, build_basis
from analysis.basis.flights import Flight
from analysis.hang import FREE_SHARE, hang_of

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
# A turn that is sharper than an even run up and down (25 % near the top) is a spike of one frame.
SHARPEST, NEAR_SHARE = 25.0, 0.02


def plant_time(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """One flight of several played `size` % longer, or shorter, than it was."""
    longer = bool(rng.integers(2))
    times = 1.0 + (size if longer else -size) / 100.0
    basis = _basis(case)
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
    basis = _basis(case)
    flight = _any(basis, rng, SHORTEST_S)
    if flight is None or basis.com is None:
        return None
    sharp = size <= SHARPEST and bool(rng.integers(2))
    heights = basis.com[flight.first : flight.last + 1, 2]
    found = _shaped(heights, FREE_SHARE + (-size if sharp else size) / 100.0)
    if found is None:
        return None
    shaped, share = found
    shift = np.zeros((len(basis.frames), 3))
    shift[flight.first : flight.last + 1, 2] = shaped - heights
    return _planted(
        _carried(case.clip, shift),
        "hang_time",
        (flight.first, flight.last),
        100.0 * abs(share - FREE_SHARE),
        "turns sharply" if sharp else "hangs",
    )


def _shaped(heights: Floats, share: float) -> tuple[Floats, float] | None:
    """Heights with the same ends and top that spend about this share of their time near the top,
    and the share itself; None where it does not come near on these few samples.

    top - (top - end) |v|^p, v from the top to either end: p = 2 is free, 1 an even run.
    """
    found = hang_of(heights)
    if found is None:
        return None
    at = np.arange(len(heights), dtype=np.float64)
    span = np.where(at < found.apex, found.apex, len(heights) - 1.0 - found.apex)
    ends = np.where(at < found.apex, heights[0], heights[-1])
    best = None
    for power in np.geomspace(0.9, 9.0, 60):
        shaped = found.height - (found.height - ends) * (np.abs(at - found.apex) / span) ** power
        now = hang_of(shaped)
        if now is not None and (best is None or abs(now.share - share) < abs(best[1] - share)):
            best = shaped, now.share
    return best if best is not None and abs(best[1] - share) < NEAR_SHARE else None


def plant_travel(case: Case, size: float, part: str, rng: np.random.Generator) -> Planted | None:
    """One flight that goes `size` cm (at 1.7 m) further, less far or aside than it was pushed,
    evenly; what follows stays moved."""
    basis = _basis(case)
    flight = _any(basis, rng, SHORTEST_S)
    if flight is None:
        return None
    first, last = flight.first - BEYOND, flight.last + BEYOND
    angle = rng.uniform(0.0, 2.0 * np.pi)
    way = np.array([np.cos(angle), np.sin(angle), 0.0])
    share = np.clip((np.arange(len(basis.frames)) - first) / (last - first), 0.0, 1.0)
    if rng.integers(2):  # eased by whoever keys it
        share = share**2 * (3.0 - 2.0 * share)
    length = size / 100.0 / STORY_M * height_of(case.clip)
    clip = _carried(case.clip, np.outer(share, length * way))
    return _planted(clip, "carry", (first, last), size, "travels otherwise")


@lru_cache(maxsize=64)
def _basis(case: Case) -> Basis:
    return build_basis(case.clip, Settings(cycle="no"))


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
        says="one of a shot's flights played longer or shorter",
        unit="%",
        sizes={"root": (10.0, 15.0, 20.0, 30.0)},
        promised={"root": (20.0, 20.0)},
        sets=HOPS,
        plant=plant_time,
    ),
    Kind(
        name="flight_hang",
        check="hang_time",
        says="a flight that hangs at its top, or turns sharply",
        unit="% of the flight",
        sizes={"root": (15.0, 20.0)},
        promised={"root": (20.0, 20.0)},
        sets=HOPS,
        plant=plant_hang,
    ),
    Kind(
        name="flight_travel",
        check="carry",
        says="a flight that goes further, less far or aside",
        unit="cm",
        sizes={"root": (15.0, 25.0, 40.0)},
        promised={"root": (25.0, 25.0)},
        sets=HOPS,
        plant=plant_travel,
    ),
)
