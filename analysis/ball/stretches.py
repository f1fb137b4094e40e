# SPDX-License-Identifier: GPL-3.0-or-later
"""From where to where a ball's arcs go: from a low over a top to the next low, between frames."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ..basis.ball import BallBasis
from ..basis.flights import Flight
from .bounces import LEAST_RISE, bounced_arcs
from .extremes import Extreme, Point, find_extremes
from .near_top import seconds_near
from .smooth_tops import smooth_top

Floats = NDArray[np.float64]

# What is carried up and down, and what goes to and fro, counts from this share of the height on
# (2 cm at 1.7 m): a walk's rise is twice that.
LEAST_CARRIED = 0.02 / 1.7
# A way is told from so many samples on.
LEAST_WAY = 2.0


@dataclass(frozen=True, eq=False)
class Stretch:
    """One arc of values (T,), a top or a low of them (`sign`), all in samples.

    begins, top, ends   when, with fractions, and how far
    whole    whether the way before, and the way after, is known from end to end
    free     whether it is in the air; flight: that it is, where it is long enough for one
    shape    as `begins`, `top`, `ends`: that of which the time near the top is told
    """

    sign: int
    begins: Point
    top: Point
    ends: Point
    whole: tuple[bool, bool] = (True, True)
    free: bool = False
    flight: Flight | None = None
    shape: tuple[Point, Point, Point] | None = None

    @property
    def rise(self) -> float:
        """How far its top is from the further one of its ends."""
        return max(abs(self.top[1] - self.begins[1]), abs(self.top[1] - self.ends[1]))

    @property
    def symmetry(self) -> float | None:
        """Share of its time before the top; None where the range cuts it."""
        if not all(self.whole):
            return None
        return (self.top[0] - self.begins[0]) / max(self.ends[0] - self.begins[0], 1e-9)

    def share(self, values: Floats) -> float | None:
        """Share of its time in the outer quarters of those of its ways that are whole and no
        shorter than two samples; None where neither is."""
        begins, top, ends = self.shape or (self.begins, self.top, self.ends)
        lasts = near = 0.0
        for end, whole in zip((begins, ends), self.whole, strict=True):
            if whole and abs(end[0] - top[0]) >= LEAST_WAY:
                way = seconds_near(
                    values * self.sign, (end[0], end[1] * self.sign), (top[0], top[1] * self.sign)
                )
                lasts, near = lasts + way[0], near + way[1]
        return near / lasts if lasts > 0.0 else None


def heights_of(basis: BallBasis) -> Floats:
    """(T,) what goes up and down: the centre of mass that the ball carries."""
    return basis.positions[:, 0, 2] + basis.aside[:, 2]


def up_stretches(basis: BallBasis) -> list[Stretch]:
    """The arcs of its height: flights, and what is carried between them; in time's order."""
    heights = heights_of(basis)
    if basis.figure is None:
        found = find_extremes(heights, LEAST_RISE * basis.height.scene_m, bounces=True)
        return _lone(basis, found)
    free = [_flown(heights, flight) for flight in basis.flights if flight.whole and flight.judged]
    # What is in the air is not carried, be it judged or not.
    air = [(f.first, f.last) for f in basis.flights if not f.held]
    carried = [
        each
        for each in to_and_fro(heights, LEAST_CARRIED * basis.height.scene_m, signs=(1,))
        if all(each.ends[0] < first or each.begins[0] > last for first, last in air)
    ]
    return sorted([*free, *carried], key=lambda each: each.begins[0])


def to_and_fro(values: Floats, least: float, signs: Sequence[int] = (1, -1)) -> list[Stretch]:
    """An arc for each top (sign 1) and low (-1) of values (T,) that lies between two others."""
    found = find_extremes(values, least)
    return [
        _between(*found[n - 1 : n + 2])
        for n in range(1, len(found) - 1)
        if _is_told(found, n, signs)
    ]


def _is_told(found: Sequence[Extreme], at: int, signs: Sequence[int]) -> bool:
    """Whether both ways of an arc upwards are whole, or one of the two of a turn."""
    cuts = found[at - 1].is_cut + found[at + 1].is_cut
    return found[at].sign in signs and cuts <= (0 if len(signs) == 1 else 1)


def _between(before: Extreme, top: Extreme, after: Extreme) -> Stretch:
    return Stretch(
        sign=top.sign,
        begins=before.leaves,
        top=(top.at, top.value),
        ends=after.enters,
        whole=(not before.is_cut, not after.is_cut),
    )


def _lone(basis: BallBasis, found: Sequence[Extreme]) -> list[Stretch]:
    """Those of a ball that is alone: between two bounces it is in the air."""
    flights = {flight.first - 1: flight for flight in basis.flights}
    stretches = []
    for n in range(1, len(found) - 1):
        if _is_told(found, n, (1,)):
            arcs = bounced_arcs((found[n - 1], found[n + 1]))
            flight = flights.get(arcs[0][0]) if arcs else None
            each = _between(*found[n - 1 : n + 2])
            shape = None if flight is None else _shape(heights_of(basis), flight, each.top)
            stretches.append(replace(each, free=bool(arcs), flight=flight, shape=shape))
    return stretches


def _flown(heights: Floats, flight: Flight) -> Stretch:
    """A flight by its samples in the air and those beside them: told are the ones in the air."""
    first, last = flight.first, flight.last
    highest = first + int(np.argmax(heights[first : last + 1]))
    top = (float(highest), float(heights[highest]))
    if first < highest < last:
        at, value = smooth_top(heights[first : last + 1], highest - first)
        top = (first + at, value)
    begins, ends = ((float(at), float(heights[at])) for at in (first - 1, last + 1))
    shape = _shape(heights, flight, top)
    return Stretch(1, begins, top, ends, free=True, flight=flight, shape=shape)


def _shape(heights: Floats, flight: Flight, top: Point) -> tuple[Point, Point, Point]:
    """What `hang_time` tells the shape of: the samples in the air alone."""
    first, last = flight.first, flight.last
    return (float(first), float(heights[first])), top, (float(last), float(heights[last]))
