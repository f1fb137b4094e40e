# SPDX-License-Identifier: GPL-3.0-or-later
"""Height against time in the air, both ways.

A body that rises by u and then comes down by d is in the air for sqrt(2 u / g) + sqrt(2 d / g); on
a level h = g T^2 / 8 (Bosco, Luhtanen & Komi 1983, Eur J Appl Physiol 50:273-282).
"""

from dataclasses import dataclass
from math import sqrt


@dataclass(frozen=True)
class Arc:
    """A flight as an animator sees it; metres at the character's size.

    up_m, down_m   from leaving to the top, from the top to landing; 0 or more
    seconds        from leaving to landing
    """

    up_m: float
    down_m: float
    seconds: float

    @property
    def higher_m(self) -> float:
        """How much higher it lands than it leaves."""
        return self.up_m - self.down_m

    @property
    def fall(self) -> float:
        """The acceleration, m/s2, that this height in this time tells."""
        return (sqrt(2.0 * self.up_m) + sqrt(2.0 * self.down_m)) ** 2 / self.seconds**2

    def needed_s(self, fall: float) -> float:
        """Seconds that this height takes where bodies fall by `fall` m/s2."""
        return sqrt(2.0 * self.up_m / fall) + sqrt(2.0 * self.down_m / fall)

    def rise_m(self, fall: float) -> float:
        """How far it rises where bodies fall by `fall`, in its time from its place to the other.

        0 where it would go down all the way.
        """
        leaves = self.higher_m / self.seconds + 0.5 * fall * self.seconds
        return max(leaves, 0.0) ** 2 / (2.0 * fall)
