# SPDX-License-Identifier: GPL-3.0-or-later
"""How a figure walks or runs: the plain strides of a range, what they measure and how far it sways.

Amplitudes are highest minus lowest, and leftmost minus rightmost against the even way from the
stride's beginning to its end. Of heights no even way is taken out: the ground is level, and a
landing that is told a frame early is higher or lower.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .basis import Basis
from .lap import Lap, find_lap, mid_stance
from .loop import Cycle
from .once import once
from .stride import Stride, find_strides

Floats = NDArray[np.float64]

SIDE, UP = 0, 1
NO_FEET = "both feet are needed to tell strides"
NO_STRIDES = "no foot lands, lifts and lands again while the other one steps"


@dataclass(frozen=True, eq=False)
class Gait:
    """The plain strides of a range, all walked or all run: of both, what there is more of.

    strides       S of them, in the order in which they begin; each foot's
    run_share     share of the plain strides that are run
    travel (S,2)  how far the body that leads goes to the side and up in each, scene metres
    com (S,2)     the same of the centre of mass, or None
    widths (S,)   of the first step in each, scene metres; below 0 where feet cross over
    lap           the samples that strides count on; None where there are none
    why           why there are none, or empty
    """

    strides: tuple[Stride, ...]
    run_share: float
    travel: Floats
    com: Floats | None
    widths: Floats
    lap: Lap | None = None
    why: str = ""

    @property
    def loops(self) -> bool:
        """Whether these are the strides of a loop, which goes on and on."""
        return self.lap is not None and self.lap.length > 0

    @property
    def steps(self) -> int:
        """How many steps these strides have: two each, most of them shared by two strides."""
        firsts = {stride.first for stride in self.strides}
        return len(firsts if self.loops else firsts | {each.across for each in self.strides})

    @property
    def running(self) -> bool:
        """Whether these are runs."""
        return self.run_share > 0.5

    def mean(self, name: str) -> float:
        """Mean over the strides of one of their numbers."""
        return float(np.mean([getattr(stride, name) for stride in self.strides]))

    @property
    def cadence(self) -> float:
        """Steps a minute."""
        return 120.0 / self.mean("seconds")

    @property
    def speed(self) -> float:
        """Scene metres a second over the ground."""
        return self.mean("metres") / self.mean("seconds")


@once
def find_gait(basis: Basis, cycle: Cycle) -> Gait:
    """The gait of a range; without strides, it says why."""
    lap = find_lap(basis, cycle)
    if lap is None:
        return _none(NO_FEET)
    every = find_strides(basis, lap)
    plain = [stride for stride in every if stride.plain]
    if not plain:
        return _none(_why_none(every))
    run_share = float(np.mean([stride.running for stride in plain]))
    kept = tuple(stride for stride in plain if stride.running == (run_share > 0.5))
    return Gait(
        strides=kept,
        run_share=run_share,
        travel=travel_of(lap.lead, kept),
        com=None if lap.com is None else travel_of(lap.com, kept),
        widths=_widths(lap, kept),
        lap=lap,
    )


def travel_of(path: Floats, strides: tuple[Stride, ...]) -> Floats:
    """(S,2) how far a path (E,3) goes to the side and up in each stride."""
    return np.array([np.ptp(away_in(path, stride), axis=0) for stride in strides]).reshape(-1, 2)


def calm_travel(gait: Gait) -> Floats:
    """(S,2) `Gait.travel` as a capture's tremble does not change it from stride to stride.

    A path without its tremble, and brought back to the sizes that smoothing takes off all of it.
    """
    if gait.lap is None:
        return gait.travel
    calm = np.maximum(travel_of(gait.lap.calm, gait.strides), 1e-12)
    return np.asarray(calm * np.median(gait.travel / calm, axis=0))


def tremble(gait: Gait) -> tuple[float, float]:
    """How far the body that leads is off its calm path, to the side and up: a usual sample."""
    if gait.lap is None:
        return 0.0, 0.0
    off = gait.lap.lead - gait.lap.calm
    left = left_of(np.mean([stride.ahead for stride in gait.strides], axis=0))
    return float(np.median(np.abs(off @ left))), float(np.median(np.abs(off[:, 2])))


def away_in(path: Floats, stride: Stride) -> Floats:
    """(N,2) how far a path is to the left and up of where it was, on the samples of a stride.

    `ahead` leads from the body's place at the beginning to that at the end.
    """
    part = path[stride.first : stride.last + 1]
    left = (part - part[0]) @ left_of(stride.ahead)
    return np.stack((left, part[:, 2] - part[0, 2]), axis=-1)


def left_of(ahead: Floats) -> Floats:
    """(3,) to the left of a level unit vector."""
    return np.array([-ahead[1], ahead[0], 0.0])


def gait_measures(basis: Basis, gait: Gait) -> dict[str, float]:
    """What stands in the report, see `measure_list`; nothing where there are no strides."""
    if not gait.strides:
        return {}
    to_story = basis.height.to_story
    travel = gait.travel.mean(axis=0) * to_story
    found = {
        "strides": float(len(gait.strides)),
        "run_share": gait.run_share,
        "gait_speed_m_s": gait.speed * to_story,
        "cadence_per_min": gait.cadence,
        "stride_m": gait.mean("metres") * to_story,
        "stride_s": gait.mean("seconds"),
        "step_width_m": float(gait.widths.mean()) * to_story,
        "root_lateral_m": float(travel[SIDE]),
        "root_vertical_m": float(travel[UP]),
        "foot_contact_left_share": gait.mean("left"),
        "foot_contact_right_share": gait.mean("right"),
        "double_support_share": gait.mean("double"),
        "air_share": gait.mean("air"),
    }
    if gait.com is not None:
        of_mass = gait.com.mean(axis=0) * to_story
        found |= {"com_lateral_m": float(of_mass[SIDE]), "com_vertical_m": float(of_mass[UP])}
    if basis.height.story_m is not None:
        found["froude"] = gait.mean("froude")
    return found


def flight_measures(basis: Basis) -> dict[str, float]:
    """How many flights there are, and how long those last of which both ends are seen."""
    seconds = [flight.samples * basis.dt_s for flight in basis.flights if flight.whole]
    found = {"flights": float(len(basis.flights))} if len(basis.soles) == 2 else {}
    if seconds:
        found |= {"flight_median_s": float(np.median(seconds)), "flight_longest_s": max(seconds)}
    return found


def _widths(lap: Lap, strides: tuple[Stride, ...]) -> Floats:
    """(S,) from the foot that lands first in a stride to the other one, across the way."""
    found = []
    for stride in strides:
        other = "R" if stride.side == "L" else "L"
        here = lap.places[stride.side][mid_stance(lap, stride.side, [stride.first])[0]]
        there = lap.places[other][mid_stance(lap, other, [stride.across])[0]]
        apart = float((here - there) @ left_of(stride.ahead))
        found.append(apart if stride.side == "L" else -apart)
    return np.array(found)


def _none(why: str) -> Gait:
    return Gait((), 0.0, np.zeros((0, 2)), None, np.zeros(0), why=why)


def _why_none(every: tuple[Stride, ...]) -> str:
    """What its strides are instead of plain ones: the first that holds for most of them."""
    if not every:
        return NO_STRIDES
    for name, why in (
        ("on_limbs", "it goes low, or on hands, knees or the seat too"),
        ("turned", "it turns with every stride"),
        ("sideways", "it goes sideways"),
        ("climbs", "it goes up or down: stairs, a slope"),
    ):
        if np.mean([getattr(stride, name) for stride in every]) > 0.5:
            return why
    return "no stride goes straight on level ground"
