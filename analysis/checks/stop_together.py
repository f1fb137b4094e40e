# SPDX-License-Identifier: GPL-3.0-or-later
"""`stop_together`: does everything stop at once?"""

import numpy as np
from numpy.typing import NDArray

from ..arrivals import Stop, find_stops_of_all, followed_bodies
from ..basis import Basis
from ..declared import of_figure
from ..evidence import Evidence, RawEvent, Suggestion
from ..loop import Cycle
from ..settling import overlap_missing, settling_measures
from ..words import count_text
from .contract import CheckInfo
from .stop_together_words import advice, good_text, told

Bools = NDArray[np.bool_]

# A stop is one from a rest of this on; one that lasts to the end of the range from the second:
# there a pose often only ends.
REST_S, END_REST_S = 0.3, 0.5
# Seconds of overlap that a stop lacks, of the eighth that three frames of a film at 24 are.
OVERLAP_S, LEAST_S = 0.125, 0.066
# Where so much of the parts go beyond their place and come back, the stop is none.
OVERSHOOT_SHARE = 0.6
# Nearer than this share of the height to what bears it, the root lies: the ground stops it.
LIES_SHARE = 0.1
# So many stops, and this share of them all at once: that is how the shot is done.
HABIT_STOPS, HABIT_SHARE = 4, 0.7

INFO = CheckInfo(
    name="stop_together",
    question="Does everything stop at once?",
    definition=(
        "Root, chest, head, hands and props are at rest where none is faster than 3 % of the "
        "height a second, for .3 s or more, .5 s where that lasts to the end of the range. Of "
        "those that moved by 2 % of the height in the .8 s before (four or more, root or chest "
        "and a hand among them) each arrives where it has a fiftieth of its last .35 s of way "
        "left, and as long before two of them must reach 7 % of the height a second (a creep after "
        "the move is over is no stop); a hand less than .4 times as fast as the other does not "
        "count. The amount is "
        "what is missing from first to last arrival to an eighth of a second (3 frames at 24). "
        "Left out is a stop that most parts overshoot (by .4 of their way or less, back at "
        "less than .4 of their pace), a root that lies, and declared events. Four such stops "
        "or more, 70 % of all, also of those that rest for a tenth of a second, are the shot's "
        "style."
    ),
    unit="s",
    limit=".066 s of overlap missing: all arrive within .059 s, 1.4 frames at 24",
    source="successive arrival (overlap) is common practice, no source; limits from trials",
    stages=("spline", "polish"),
    mend="Let the hips arrive first, then chest and head, and the hands some frames later.",
)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """Stops of the whole figure at once, and measures of all its stops."""
    bodies = followed_bodies(basis)
    if len(bodies) < 4:
        return Evidence("stop_together", skipped="needs a root, a head and hands, or a prop")
    stops = find_stops_of_all(basis, bodies)
    measures = settling_measures(basis, stops)
    lies = _lies(basis)
    asked = [stop for stop in stops if not lies[stop.first] and _is_asked(basis, stop)]
    if not asked:
        why = "the figure never comes to rest from a move for .3 s or more"
        return Evidence("stop_together", skipped=why, measures=measures)
    limit = LEAST_S * basis.settings.factor("stop_together")
    at_once = [stop for stop in stops if _is_at_once(basis, stop, limit)]
    if len(at_once) >= HABIT_STOPS and len(at_once) >= HABIT_SHARE * len(stops):
        habit = (
            f"All parts stop at once, {count_text(len(at_once), 'time')} of {len(stops)}: "
            "taken for the shot's style."
        )
        return Evidence("stop_together", habit=habit, measures=measures)
    events = [_event(basis, stop, limit) for stop in asked if _is_at_once(basis, stop, limit)]
    good = "" if events else good_text(basis, asked, OVERLAP_S - limit)
    return Evidence("stop_together", tuple(events), good=good, measures=measures)


def _is_asked(basis: Basis, stop: Stop) -> bool:
    """Whether a stop rests long enough, and by itself."""
    ends = stop.last == len(basis.frames) - 1
    rest = (stop.last - stop.first + 1) * basis.dt_s
    if rest < (END_REST_S if ends else REST_S):
        return False
    return not of_figure(basis, stop.first, stop.first)


def _lies(basis: Basis) -> Bools:
    """(T,) whether the root is so near to what bears weight that the body lies there."""
    above = basis.ground.clearance(basis.positions[:, [basis.lead]])[:, 0]
    return np.asarray(above < LIES_SHARE * basis.height.scene_m)


def _is_at_once(basis: Basis, stop: Stop, limit: float) -> bool:
    missing = overlap_missing(stop, basis.dt_s, OVERLAP_S)
    return missing >= limit and stop.overshoots < OVERSHOOT_SHARE


def _event(basis: Basis, stop: Stop, limit: float) -> RawEvent:
    missing = overlap_missing(stop, basis.dt_s, OVERLAP_S)
    peak = round(float(np.median(stop.at)))
    return RawEvent(
        check="stop_together",
        body=basis.lead,
        first=int(np.floor(stop.at.min())),
        last=min(max(int(np.ceil(stop.at.max())), stop.dead), stop.last),
        peak=peak,
        amount=missing,
        limit=limit,
        unit="s",
        # What the eye misses: the way that the last of them would trail behind.
        visible_m=float(np.sort(stop.pace)[-2]) * missing,
        step_m=0.0,
        says=told(basis, stop),
        suggestion=Suggestion(advice(basis, stop, OVERLAP_S), frame=float(basis.frames[peak])),
    )
