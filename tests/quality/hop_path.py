# SPDX-License-Identifier: GPL-3.0-or-later
"""A hop as a path of the centre of mass, and the poses that go with it: all of it by formulas.

Standing, the body goes down, is pushed up so that it leaves the floor with the speed that its
flight needs, flies freely (9.80665 m/s2: 3rd CGPM 1901), is caught and stands up again. Metres and
seconds of the figure at its captured size, told from where it stands.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.free_fall import GRAVITY

Floats = NDArray[np.float64]

# A hop that is lower as it leaves is so many times that lower still before, and after.
LONGER = 2.5
# Metres by which it goes down in a second's square at most: 5.2 m/s2 at the steepest (minimum
# jerk peaks at 5.77 of them).
GENTLE = 0.9


@dataclass(frozen=True)
class Hop:
    """air_s      seconds in the air
    travel_m   how far the body goes in the air: ahead, to its left
    crouch_m, catch_m   how far it goes down before and after
    stand_s    how long it stands before it goes down
    down_s, up_s   how long it goes down before, and stands up after
    lift_m     how much higher than standing it leaves the floor, and lands
    tuck_m     how far the feet are drawn up in the air
    """

    air_s: float
    travel_m: tuple[float, float]
    crouch_m: float
    catch_m: float
    stand_s: float
    down_s: float
    up_s: float
    lift_m: float
    tuck_m: float

    @property
    def speed_m_s(self) -> float:
        """Upwards as it leaves, and downwards as it lands."""
        return 0.5 * GRAVITY * self.air_s

    @property
    def push_s(self) -> float:
        """How long it is pushed up: at a mean speed of half of what it leaves with, or a little
        more, as legs push hardest early."""
        return 1.8 * (self.crouch_m + self.lift_m) / self.speed_m_s

    @property
    def catch_s(self) -> float:
        """How long it is caught."""
        return 1.8 * (self.catch_m + self.lift_m) / self.speed_m_s

    @property
    def times(self) -> Floats:
        """(7,) when it begins to go down, is pushed, leaves, lands, is caught, stands, ends."""
        spans = (self.stand_s, self.down_s, self.push_s, self.air_s, self.catch_s, self.up_s)
        return np.cumsum(spans)

    @property
    def seconds(self) -> float:
        """How long all of it takes."""
        return float(self.times[-1])

    @property
    def whole_m(self) -> Floats:
        """(2,) how far it goes in all: pushed off, in the air, and while it is caught."""
        each = 1.0 + 0.5 * (self.push_s + self.catch_s) / self.air_s
        return each * np.asarray(self.travel_m)

    def path(self, time: Floats) -> Floats:
        """(N,3) ahead, to the left, up; from where it stands on."""
        level, height = self._level(time), self._height(time)
        return np.concatenate((level, height[:, None]), axis=1)

    def lowered(self, by_m: float) -> "Hop":
        """The hop with lower hips as it leaves and lands, pushed and caught over a longer way,
        and let down to it more slowly than it would fall."""
        crouch, catch = self.crouch_m + LONGER * by_m, self.catch_m + LONGER * by_m
        return replace(
            self,
            lift_m=self.lift_m - by_m,
            crouch_m=crouch,
            catch_m=catch,
            down_s=max(self.down_s, float(np.sqrt(crouch / GENTLE))),
            up_s=max(self.up_s, float(np.sqrt(catch / GENTLE))),
        )

    def phase(self, time: Floats) -> Floats:
        """(N,) 0 where it stands, 1 lowest before, 2 as it leaves, 3 as it lands, 4 lowest after,
        5 where it stands again; even in between."""
        return np.interp(time, self.times[:6], np.arange(6.0))

    def _height(self, time: Floats) -> Floats:
        down, push, leave, land, caught, up = self.times[:6]
        low, after = -self.crouch_m, -self.catch_m
        flown = self.lift_m + 0.5 * GRAVITY * (time - leave) * (land - time)
        return np.select(
            [time <= down, time <= push, time <= leave, time <= land, time <= caught, time <= up],
            [
                0.0 * time,
                low * smooth((time - down) / self.down_s),
                hermite((time - push) / self.push_s, low, self.lift_m, 0.0, 2.0 * self._steep(low)),
                flown,
                hermite(
                    (time - land) / self.catch_s, self.lift_m, after, -2.0 * self._steep(after), 0.0
                ),
                after * (1.0 - smooth((time - caught) / self.up_s)),
            ],
            0.0,
        )

    def _steep(self, low: float) -> float:
        """Half the slope at the ends of a push or a catch, over its whole length."""
        return 0.9 * (self.lift_m - low)

    def _level(self, time: Floats) -> Floats:
        _down, push, leave, land, caught, _up = self.times[:6]
        u, v = (time - push) / self.push_s, (time - land) / self.catch_s
        shares = np.select(
            [time <= push, time <= leave, time <= land, time <= caught],
            [
                0.0 * time,
                hermite(u, 0.0, 0.5 * self.push_s, 0.0, self.push_s) / self.air_s,
                (0.5 * self.push_s + time - leave) / self.air_s,
                (0.5 * self.push_s + self.air_s + hermite(v, 0.0, 0.5, 1.0, 0.0) * self.catch_s)
                / self.air_s,
            ],
            1.0 + 0.5 * (self.push_s + self.catch_s) / self.air_s,
        )
        return np.outer(shares, self.travel_m)


def hermite(u: Floats, start: float, end: float, slope: float, end_slope: float) -> Floats:
    """A cubic from `start` to `end` with given slopes at u = 0 and 1; held outside."""
    u = np.clip(u, 0.0, 1.0)
    return (
        start * (1.0 - u) ** 2 * (1.0 + 2.0 * u)
        + end * u**2 * (3.0 - 2.0 * u)
        + slope * u * (1.0 - u) ** 2
        - end_slope * u**2 * (1.0 - u)
    )


def smooth(u: Floats) -> Floats:
    """0 to 1 with no speed and no acceleration at either end (minimum jerk), held outside."""
    u = np.clip(u, 0.0, 1.0)
    return u**3 * (10.0 - 15.0 * u + 6.0 * u * u)
