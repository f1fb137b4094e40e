# SPDX-License-Identifier: GPL-3.0-or-later
"""The lows and tops of a value that goes to and fro, between the frames.

A motion is known on frames only, and turns between two of them. Where it turns smoothly, the
polynomial of fourth degree through the five samples around tells when and how far. Where it turns
at once (a ball that bounces, a way that is evenly spaced to its end), a parabola fits the samples
before and another those after, and it turns where these two meet.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .corners import AT_ONCE, BESIDE, corner_at, parabola
from .smooth_tops import smooth_top

Floats = NDArray[np.float64]
# A sample, with a fraction, and a value.
Point = tuple[float, float]

# So many samples on a side tell how it comes or goes, at the least.
LEAST = 3
# What goes down by less than this share of the least way before it comes back is no turn.
DIP = 0.1
# What stays within this share of the way to its nearer neighbour for three samples stands there.
STANDS = 1e-5


@dataclass(frozen=True)
class Extreme:
    """A low (sign -1) or a top (sign 1).

    at           when it turns, in samples, with a fraction; of a stand its middle
    value        how far it goes
    enters       when and how far it comes, to stand there or to turn
    leaves       when and from how far it goes on: the same where it does not stand
    comes, goes  whether it arrives, and leaves, at once, as at a corner
    is_end       whether the range begins or ends there, so that it may go on beyond
    """

    sign: int
    at: float
    value: float
    enters: Point
    leaves: Point
    comes: bool
    goes: bool
    is_end: bool

    @property
    def first(self) -> float:
        """The sample on which it comes."""
        return self.enters[0]

    @property
    def last(self) -> float:
        """The sample on which it goes on."""
        return self.leaves[0]

    @property
    def is_cut(self) -> bool:
        """Whether the range cuts the way that leads to it, or away from it."""
        return self.is_end and self.last - self.first <= 1.0


def find_extremes(values: Floats, least: float, *, bounces: bool = False) -> list[Extreme]:
    """Tops and lows of values (T,) in turn, each `least` or more from its neighbours.

    bounces   whether small bounces follow large ones: what comes to a low and is thrown up by less
              than `least` is there from then on

    The first and the last one are the ends of what is known. Empty where nothing goes so far.
    """
    places = zigzag(values.tolist(), least)
    last, end = len(places) - 1, len(values) - 1
    found = []
    for n, at in enumerate(places):
        beside = [places[m] for m in (n - 1, n + 1) if 0 <= m <= last]
        sign = 1 if values[at] > values[beside[0]] else -1
        stands = STANDS * min(abs(float(values[at] - values[m])) for m in beside)
        turn = _Turn(
            values=values * sign,
            at=at,
            low=places[n - 1] if n else 0,
            high=places[n + 1] if n < last else end,
            # A short way is told by the one beyond as well: what bounces is on one arc until the
            # next low. The sample of an extreme itself may be beyond it.
            first=_bound(places, n, -1, sign) if n else 0,
            last=_bound(places, n, 1, sign) if n < last else end,
            stands=stands,
            small=least if bounces else 0.0,
        )
        found.append(_extreme(turn, sign))
    return found


def _bound(places: list[int], n: int, side: int, sign: int) -> int:
    """The furthest sample on a side of extreme number n that may tell of its way there."""
    next_one, beyond = places[n + side], n + 2 * side
    steps = abs(next_one - places[n])
    if steps > LEAST:
        return next_one - side
    if sign < 0 and steps < LEAST and 0 <= beyond < len(places):
        return places[beyond] - side
    return next_one


def zigzag(values: list[float], least: float) -> list[int]:
    """The samples of tops and lows in turn, each `least` or more from its neighbours, with where
    it begins and ends; empty where nothing goes so far."""
    found: list[int] = []
    low = high = rises = 0
    for at, value in enumerate(values):
        if rises >= 0 and value > values[high]:
            high = at
        if rises <= 0 and value < values[low]:
            low = at
        if rises <= 0 and value - values[low] >= least:
            found.append(low)
            rises, high = 1, at
        elif rises >= 0 and values[high] - value >= least:
            found.append(high)
            rises, low = -1, at
    return [*found, high if rises > 0 else low] if rises else []


@dataclass(frozen=True, eq=False)
class _Turn:
    """A top of values (T,) at a sample, with the lows beside it, and what tells of its ways.

    first, last   the samples that may tell how it comes and goes, beyond the lows
    stands        what is so near to it stands there
    small         what bounces by less than this stays; 0 where nothing bounces
    """

    values: Floats
    at: int
    low: int
    high: int
    first: int
    last: int
    stands: float
    small: float

    def reversed(self) -> "_Turn":
        """The same, played backwards."""
        end = len(self.values) - 1
        return _Turn(
            self.values[::-1],
            end - self.at,
            end - self.high,
            end - self.low,
            end - self.last,
            end - self.first,
            self.stands,
            self.small,
        )

    @property
    def reached(self) -> int:
        """The sample on which it is there for the first time: before it turns a little (small
        bounces at the end of large ones), or where it begins to stand."""
        best = self.low
        for at in range(self.low, self.at):
            if self.values[at] > self.values[best]:
                best = at
            turns = self.values[best] - self.values[at] > DIP * self.small
            if turns and self.values[self.at] - self.values[best] < self.small:
                return best
        at = self.at
        while at > self.low and self.values[self.at] - self.values[at - 1] <= self.stands:
            at -= 1
        return at


def _extreme(turn: _Turn, sign: int) -> Extreme:
    end = len(turn.values) - 1
    first, last = turn.reached, end - turn.reversed().reached
    ends = first == 0, last == end
    if last - first > 1 or any(ends):
        # What the range cuts goes on beyond it: it arrives nowhere.
        cut = any(ends) and last - first <= 1
        comes = None if cut or ends[0] else _arrival(turn, first)
        back = None if cut or ends[1] else _arrival(turn.reversed(), end - last)
        goes = None if back is None else (end - back[0], back[1])
        enters, leaves = comes or (first, turn.values[first]), goes or (last, turn.values[last])
        return Extreme(
            sign=sign,
            at=0.5 * (enters[0] + leaves[0]),
            value=sign * float(turn.values[turn.at]),
            enters=(float(enters[0]), sign * float(enters[1])),
            leaves=(float(leaves[0]), sign * float(leaves[1])),
            comes=comes is not None,
            goes=goes is not None,
            is_end=any(ends),
        )
    met = corner_at(turn.values, turn.at, turn.first, turn.last)
    at, value = smooth_top(turn.values, turn.at) if met is None else (met.at, met.value)
    point = (at, sign * value)
    comes_at_once, goes_at_once = (False, False) if met is None else (met.comes, met.goes)
    return Extreme(sign, *point, point, point, comes_at_once, goes_at_once, is_end=False)


def _next_top(turn: _Turn, reached: int) -> int:
    """The sample of the next small top after one, or the last sample that counts."""
    falls = False
    for at in range(reached + 1, turn.last):
        rises = turn.values[at] > turn.values[at - 1]
        if falls and rises and turn.values[at + 1] <= turn.values[at]:
            return at
        falls = falls or not rises
    return turn.last


def _arrival(turn: _Turn, reached: int) -> Point | None:
    """When, and how far, it comes at once to a sample from which on it stands, or turns but a
    little; None where it eases into it."""
    met = corner_at(turn.values, reached, turn.first, _next_top(turn, reached) - 1)
    if met is not None:
        return (met.at, met.value) if met.comes else None
    first, value = max(reached - BESIDE, turn.first), float(turn.values[reached])
    way = parabola(turn.values[first:reached] - value, first - reached)
    zeros = [] if way is None else way.zeros(-1.0, 0.0)
    if way is None or not zeros:
        return None
    pace = float(turn.values[reached - 1] - turn.values[first]) / (reached - 1 - first)
    return (reached + min(zeros), value) if way.slope(min(zeros)) >= AT_ONCE * pace else None
