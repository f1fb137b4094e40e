# SPDX-License-Identifier: GPL-3.0-or-later
"""What the flights of a shot are compared with: gravity, or what most of them do.

Flights that fall alike are a style, and what breaks it is a fault. Where most of a shot's flights
agree, each is compared with these. Where they do not, or the story's height was given, with
gravity at the character's size.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .basis import Basis
from .flown import Flown
from .free_fall import GRAVITY, RIGHT_FACTOR

# A flight falls as it should within the first factor; one that stands alone within the wider one,
# as it may be meant so; one that its highest pose tells within the last: a frame is much of its
# time.
FACTOR, WIDE_FACTOR, POSED_FACTOR = RIGHT_FACTOR, 2.0, 1.4
# Two flights agree within this: each of them is off by a little.
TWO_FACTOR = 1.3
# Most of a shot's flights are so many of them, or more.
MOST_SHARE = 0.65
# So near to gravity a flight is right beyond doubt.
NEAR = 1.15
# A fit counts only where it is off by more than so many of its standard errors.
ERRORS = 2.5

GRAVITY_TELLS = "gravity has it"
OTHERS_TELL = "the shot's other flights"


@dataclass(frozen=True)
class Standard:
    """How strongly flights should fall (story m/s2), within which factor, and who says so.

    fall     what is compared with
    target   what advice leads to: gravity where that is nearly the same
    alike    whether flights agree, so that `fall` is the shot's own habit
    count    how many flights agree
    known    whether the character's size is known
    """

    fall: float
    factor: float
    told_by: str
    target: float
    alike: bool = False
    count: int = 0
    known: bool = True

    def ratio(self, flown: Flown) -> float:
        """How many times as strongly as it should a flight falls."""
        return flown.told / self.target

    def is_off(self, flown: Flown, widened: float) -> bool:
        """Whether a flight falls otherwise, by more than its fit may be wrong.

        One that falls as gravity has it is right, whatever the others do that nearly do so too.
        """
        factor, fall = self.factor_of(flown, widened), flown.nearest(self.fall)
        if self.told_by == GRAVITY_TELLS and 1.0 / NEAR <= fall / GRAVITY <= NEAR:
            return False
        inside = 1.0 / factor <= fall / self.fall <= factor
        if flown.open is not None and fall < self.fall:
            # Too slow however it is read, and plainly so from key to key.
            least = 1.0 + (POSED_FACTOR - 1.0) * widened
            inside = fall >= self.fall / least or flown.open.keyed >= self.fall / factor
        return not inside and abs(fall - self.fall) > ERRORS * flown.error

    def is_open(self, flown: Flown) -> bool:
        """Whether bent poses leave open if a flight is right: from key to key it is not."""
        if flown.open is None:
            return False
        return not 1.0 / FACTOR <= flown.open.keyed / self.fall <= FACTOR

    def is_alone_right(self, flown: Flown) -> bool:
        """Whether a flight is off the shot's habit, and falls as gravity has it."""
        near = 1.0 / FACTOR <= flown.told / GRAVITY <= FACTOR
        return self.known and self.told_by == OTHERS_TELL and near

    def factor_of(self, flown: Flown, widened: float) -> float:
        """Within which factor of `fall` a flight is right; widened: by the tolerance.

        One that falls too strongly even with all the time that its poses leave open is off.
        """
        granted = flown.open is not None and flown.nearest(self.fall) > self.fall
        least = POSED_FACTOR if flown.posed and not granted else 1.0
        return 1.0 + (max(self.factor, least) - 1.0) * widened


def find_standard(basis: Basis, flown: Sequence[Flown]) -> Standard | None:
    """The standard of a shot's flights, one or more; None where nothing tells one.

    Flights that fall unevenly count, as they break the shot's habit too.
    """
    known = basis.height.story_m is not None
    if known and basis.settings.height_m is not None:
        return _gravity(FACTOR)
    falls = [each.fall for each in flown]
    if len(falls) == 1:
        return _gravity(WIDE_FACTOR) if known else None
    most = _agreeing(falls)
    two = len(falls) == 2
    if two and max(falls) <= TWO_FACTOR * min(falls):
        most = sorted(falls)
    if len(most) > 1 and len(most) >= MOST_SHARE * len(falls):
        return _habit(most, known)
    if known:
        return _gravity(FACTOR)
    # Of two flights of unknown size nothing tells which is right: the second is compared.
    if two:
        return Standard(falls[0], FACTOR, "the shot's other flight", falls[0])
    return _habit(falls, known)


def _gravity(factor: float) -> Standard:
    return Standard(GRAVITY, factor, GRAVITY_TELLS, GRAVITY)


def _habit(falls: Sequence[float], known: bool) -> Standard:
    fall, count = float(np.median(falls)), len(falls)
    if known and 1.0 / FACTOR <= fall / GRAVITY <= FACTOR:
        return Standard(fall, FACTOR, GRAVITY_TELLS, GRAVITY, alike=True, count=count)
    return Standard(fall, FACTOR, OTHERS_TELL, fall, alike=True, count=count, known=known)


def _agreeing(falls: Sequence[float]) -> list[float]:
    """The most falls that lie within the factor of each other; of as many, those nearest to each
    other."""
    ranked = sorted(falls)
    groups = [[f for f in ranked if low <= f <= FACTOR * low] for low in ranked if low > 0.0]
    return max(groups, key=lambda group: (len(group), -group[-1] / group[0]), default=[])
