# SPDX-License-Identifier: GPL-3.0-or-later
"""The ways out of a flight that falls too fast or too slowly, in frames and in height.

Other timing changes how fast a flight goes over the ground as well, another height does not. So
what it does to the travel tells which way comes first, and where the flight must land then.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis.flights import HELD_G
from ..carry_flights import BEYOND_SHARE, Carried, find_carried, retimed
from ..flight_cures import is_spaced
from ..flight_standard import Standard
from ..flown import Flown
from ..free_fall import GRAVITY
from ..looped import Places
from ..words import capital, count_text, size_text
from .carry_words import land_text

Floats = NDArray[np.float64]

# A way out that leads off by less than this share of what `carry` blames needs no other landing.
CLEAR_SHARE = 0.5
# What rises by more than this share of the height is no common jump: the frames come first then
# (common practice, no source).
LIKELY_SHARE = 0.5


@dataclass(frozen=True)
class _Travel:
    """Where a flight lands as it is, and in other frames: both None where nothing tells it.

    limit_m   up to which `carry` is quiet, metres of the scene, without the doubt of the fit
    """

    as_it_is: Carried | None
    in_time: Carried | None
    limit_m: float

    def is_clear(self, carried: Carried | None, share: float = CLEAR_SHARE) -> bool:
        """Whether it lands where its take-off carries it, as far as that is known."""
        if carried is None:
            return True
        return carried.sure_m <= share * self.limit_m + carried.unsure_m

    @property
    def is_led_off(self) -> bool:
        """Whether it lands right as it is, and other frames for the same way lead it off."""
        return self.is_clear(self.as_it_is, 1.0) and not self.is_clear(self.in_time)

    @property
    def is_time_alone(self) -> bool:
        """Whether `carry` blames it as well, and other frames mend both."""
        return not self.is_clear(self.as_it_is, 1.0) and self.is_clear(self.in_time, 1.0)


def advice(places: Places, flown: Flown, standard: Standard) -> str:
    """What to do: other timing for this height, or another height for this timing."""
    others = _others(flown, standard)
    if not flown.flight.whole:
        stretch, share = np.sqrt(standard.ratio(flown)), 1.0 / standard.ratio(flown)
        text = f"Give this flight {stretch:.2f} times its frames, or {share:.2f} of its height."
        return text + others
    return _ways(places, flown, standard) + others


@dataclass(frozen=True, eq=False)
class Cure:
    """The way out that is told first.

    rises      another height in its own time; else another time at its own height
    frames     how many frames in the air are told
    aside (3,) by how much elsewhere than now it lands then, metres of the scene, level
    """

    rises: bool
    frames: int
    aside: Floats


def first_cure(places: Places, flown: Flown, standard: Standard) -> Cure:
    """What the advice for a whole flight tells first."""
    choice, aside = _choice(places, flown, standard), np.zeros(3)
    if choice.rises:
        return Cure(True, choice.has, aside)
    then = choice.travel.in_time
    if then is not None and choice.travel.is_led_off:
        aside = places.home(np.append(-then.way * then.size_m, 0.0), flown.lands)
    return Cure(False, choice.needs, aside)


@dataclass(frozen=True)
class _Choice:
    """needs, has   frames in the air that its height takes, and that it has
    rise_m       how high it rises in those that it has; can_rise: whether a figure can
    likely       whether that is a common jump
    travel       where it lands now, and in other frames
    """

    needs: int
    has: int
    rise_m: float
    can_rise: bool
    likely: bool
    travel: _Travel

    @property
    def is_height_alone(self) -> bool:
        """Whether it has the right number of frames for its height already, and yet falls off."""
        return self.needs == self.has and self.rise_m > 0.0

    @property
    def rises(self) -> bool:
        """Whether another height is told first."""
        if self.is_height_alone or self.needs < 1:
            return self.is_height_alone or self.can_rise
        return self.travel.is_led_off and self.can_rise and self.likely


def _choice(places: Places, flown: Flown, standard: Standard) -> _Choice:
    arc, fps, height_m = flown.arc, _fps(places), _height_m(places)
    has, needs = round(arc.seconds * fps), round(arc.needed_s(standard.target) * fps)
    rise_m = arc.rise_m(standard.target)
    # A person rises by less than its height.
    can_rise = 0.0 < rise_m <= max(height_m, arc.up_m)
    likely = rise_m <= max(LIKELY_SHARE * height_m, arc.up_m)
    is_asked = needs >= 1 and not (needs == has and rise_m > 0.0)
    travel = _travel(places, flown, needs / has) if is_asked else _Travel(None, None, 0.0)
    return _Choice(needs, has, rise_m, can_rise, likely, travel)


def _ways(places: Places, flown: Flown, standard: Standard) -> str:
    arc, fps, choice = flown.arc, _fps(places), _choice(places, flown, standard)
    has, needs = choice.has, choice.needs
    instead = f"let it rise {size_text(choice.rise_m)} instead of {size_text(arc.up_m)}"
    if choice.is_height_alone:
        return f"{capital(instead)}."
    bears = ["declare what bears it"] if flown.fall < HELD_G * GRAVITY else []
    if needs < 1:
        less = f"give it less than its {count_text(has, 'frame')} in the air"
        return f"{capital(', or '.join([instead if choice.rises else less, *bears]))}."
    land = _land(places, choice.travel)
    # Even without a rise the way down may take longer than it has: then time alone helps.
    change = f"{'add' if needs >= has else 'take out'} {max(abs(needs - has), 1)}"
    if choice.rises:
        of = "to" if needs >= has else "of"
        height = f"{_way(flown).lower()} {needs} at {fps:g} fps"
        frames = f"{change} {of} its {has} frames in the air ({height}){land}"
        return f"{capital(', or '.join([f'{instead}; or {frames}', *bears]))}."
    tells_height = choice.can_rise and not choice.travel.is_time_alone
    rise = [f"let it rise {size_text(choice.rise_m)}"] if tells_height else []
    return (
        f"{_way(flown)} {count_text(needs, 'frame')} in the air at {fps:g} fps, it has {has}: "
        f"{', or '.join([change + land, *rise, *bears])}."
    )


def _land(places: Places, travel: _Travel) -> str:
    """Where it must land in other frames: as far as it leaves and lands at its speed on the
    ground; empty where that is where it lands, or not known."""
    then = travel.in_time
    if then is None or not travel.is_led_off:
        return ""
    forward = places.rounds_basis.forward[then.flown.leaves]
    return f" and land {land_text(then, forward, places.basis)}"


def _travel(places: Places, flown: Flown, share: float) -> _Travel:
    """Where it lands as it is, and played so many times as long. Poses that are held, and what
    something pushes or only its spacing leads off, tell nothing of it."""
    basis = places.rounds_basis
    limit = BEYOND_SHARE * basis.height.scene_m * basis.settings.factor("carry")
    told = not flown.posed and not is_spaced(basis, flown)
    for now in find_carried(basis, [flown]) if told else []:
        travel = _Travel(now, retimed(now, share, basis.dt_s), limit)
        if travel.is_clear(now, 1.0) or not now.breaks:
            return travel
    return _Travel(None, None, limit)


def _others(flown: Flown, standard: Standard) -> str:
    """The other way round, for the one of a shot's flights that falls as gravity has it."""
    if not standard.is_alone_right(flown):
        return ""
    slow = standard.fall < flown.told
    more = "fewer frames in the air, or more height" if slow else "more frames, or less height"
    return f" Or leave this one, and give the other {standard.count} flights {more}."


def _fps(places: Places) -> float:
    basis = places.basis
    return float(basis.frames[1] - basis.frames[0]) / basis.dt_s


def _height_m(places: Places) -> float:
    """The figure's height as its rises are told: at the character's size."""
    height = places.basis.height
    return height.scene_m * height.to_story


def _way(flown: Flown) -> str:
    """`A rise of 55 cm needs`, or where it lands elsewhere `Up 55 cm and down 20 cm needs`."""
    up_m, down_m = flown.arc.up_m, flown.arc.down_m
    if f"{100.0 * up_m:.0f}" == f"{100.0 * down_m:.0f}":
        return f"A rise of {size_text(up_m)} needs"
    return f"Up {size_text(up_m)} and down {size_text(down_m)} needs"
