# SPDX-License-Identifier: GPL-3.0-or-later
"""`sway`: does a walk or run go too far to the side, or up and down?"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..declared import of_figure
from ..evidence import Evidence, RawEvent
from ..gait import SIDE, UP, Gait, away_in, calm_travel, find_gait, left_of, tremble
from ..lap import Lap
from ..loop import Cycle
from ..stride import Stride
from ..words import count_text
from .contract import CheckInfo
from .sway_words import LEAST_STRIDES, Swayed, event_of, good_text, habit_text

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# A stride goes too far from 1.38 times what the others do on (clean walks: 1.2 at most; planted:
# 1.5), and where the calmest of those differ among themselves, from so many times that on.
TIMES, OWN_TIMES = 1.38, 3.0
# What the others do: less than the middle one, as the strides beside it may go too far as well.
USUAL_QUANTILE = 0.25
# It is compared with this many others that take about as long and go about as fast.
LEAST_OTHERS, ALIKE = 4, 1.28
# ... and it goes at least this share of the height further (.5 cm at 1.7 m), or nobody sees it, and
# so many times as far as the body trembles, as captures do.
LEAST_SHARE, TREMBLES = 0.005 / 1.7, 5.0
# Strides that overlap are one event where they go about as far. It lasts from the first to the last
# sample that lies outside of where the body goes in other strides, by this share of that.
SAME, OUTSIDE_SHARE = 0.92, 0.05
# Keys are drawn back so far beside it as well, of a stride: its way turns there.
BESIDE = 0.1

INFO = CheckInfo(
    name="sway",
    question="Does a walk or run go too far to the side, or up and down?",
    definition=(
        "In each stride (from the landing of a foot to its next one, straight on, on level ground) "
        "the way of the body's main control from side to side and up and down is measured, its "
        "even way taken out, and compared with the other strides that take about as long and go "
        "about as fast: with what the calmest quarter of them does not exceed. What all strides do "
        "is compared with the trend of people at that speed, and told as a style from 1.5 times "
        "that on. Walks of one figure that are checked together are compared: faster ones should "
        "be narrower."
    ),
    unit="cm",
    limit="1.38 times the other strides, or what they differ by where that is more",
    limit_in_full=(
        "1.38 times the other strides (strict 1.29, loose 1.57); or what they differ by, where "
        "that is more; minor, but where limbs are at their reach because of it"
    ),
    source=(
        "limits from walks of five to eight strides; the trend: Orendurff et al. 2004, JRRD "
        "41(6A):829-834 (numbers from memory); runs: free fall"
    ),
    stages=("spline", "polish"),
    mend="Bring the body's side-to-side or up-and-down keys of that stride back to the others'.",
)


@dataclass(frozen=True, eq=False)
class _Compared:
    """Per stride (S,): how far it goes, how far the others do, and from where on it is too far."""

    amounts: Floats
    usual: Floats
    limits: Floats

    @property
    def over(self) -> Bools:
        """Which go too far."""
        return np.asarray(self.amounts > self.limits)


def find(basis: Basis, cycle: Cycle) -> Evidence:
    """Strides that go further to the side, or up and down, than the others, on the body."""
    gait = find_gait(basis, cycle)
    lap = gait.lap
    if lap is None:
        return Evidence("sway", skipped=gait.why)
    if len(gait.strides) < LEAST_STRIDES and not gait.loops:
        count = count_text(len(gait.strides), "stride")
        return Evidence("sway", skipped=f"{count}, and with fewer than three nothing is compared")
    events: list[RawEvent] = []
    for axis in (SIDE, UP):
        compared = _compare(basis, gait, axis)
        for rows in _together(gait.strides, compared):
            swayed = _swayed(basis, lap, gait, compared, rows, axis)
            if not of_figure(basis, swayed.first, swayed.last):
                events.append(event_of(basis, swayed))
    habit = habit_text(basis, gait)
    good = "" if events or habit else good_text(basis, gait)
    return Evidence("sway", tuple(_clearest(events)), good=good, habit=habit)


def _compare(basis: Basis, gait: Gait, axis: int) -> _Compared:
    """Each stride against the others that are like it in time and speed."""
    amounts = calm_travel(gait)[:, axis]
    least = max(LEAST_SHARE * basis.height.scene_m, TREMBLES * tremble(gait)[axis])
    seconds = np.log([stride.seconds for stride in gait.strides])
    speeds = np.log([stride.speed for stride in gait.strides])
    usual, limits = amounts.copy(), np.full(len(amounts), np.inf)
    factor = basis.settings.factor("sway")
    for n in range(len(amounts)):
        like = np.abs(seconds - seconds[n]) < np.log(ALIKE)
        like &= np.abs(speeds - speeds[n]) < np.log(ALIKE)
        like[n] = False
        if like.sum() < LEAST_OTHERS:
            continue
        others = amounts[like]
        usual[n] = max(float(np.quantile(others, USUAL_QUANTILE)), 1e-9)
        spread = (usual[n] - others.min()) / usual[n]
        over = factor * max(TIMES - 1.0, OWN_TIMES * spread)
        limits[n] = usual[n] + max(over * usual[n], factor * least)
    return _Compared(amounts, usual, limits)


def _together(strides: tuple[Stride, ...], compared: _Compared) -> list[list[int]]:
    """Strides that go too far, in groups that overlap; of each those that go about furthest."""
    groups: list[list[int]] = []
    for n in np.flatnonzero(compared.over):
        if groups and strides[n].first <= strides[groups[-1][-1]].last:
            groups[-1].append(int(n))
        else:
            groups.append([int(n)])
    amounts = compared.amounts
    return [[n for n in rows if amounts[n] >= SAME * amounts[rows].max()] for rows in groups]


def _swayed(
    basis: Basis, lap: Lap, gait: Gait, compared: _Compared, rows: list[int], axis: int
) -> Swayed:
    worst = rows[int(np.argmax(compared.amounts[rows]))]
    stride = gait.strides[worst]
    first, last = gait.strides[rows[0]].first, max(gait.strides[n].last for n in rows)
    others = [gait.strides[n] for n in np.flatnonzero(~compared.over)]
    values, low, high = _reach(lap, stride, others, (first, last), axis)
    off = values - np.clip(values, low, high)
    out = np.flatnonzero(np.abs(off) > OUTSIDE_SHARE * compared.usual[worst])
    begin, end = (first + int(out[0]), first + int(out[-1])) if len(out) else (first, last)
    beside = round(BESIDE * (stride.last - stride.first))
    drawn = slice(max(begin - beside, first) - first, end + beside - first + 1)
    shift = _back_within(values, low, high)[drawn]
    at = int(np.argmax(np.abs(off)))
    count = len(basis.frames)
    back = lap.length if begin >= count else 0
    end = min(end - back, count - 1)
    return Swayed(
        axis=axis,
        first=min(begin - back, end),
        last=end,
        shifts=_on_samples(shift, first + drawn.start, lap.length, count),
        peak=min(first + at - back, end),
        off=float(off[at]),
        back=max(float((-np.sign(off[at]) * off).max()), 0.0),
        ahead=stride.ahead,
        amount=float(compared.amounts[worst]),
        usual=float(compared.usual[worst]),
        limit=float(compared.limits[worst]),
    )


def _back_within(values: Floats, low: float, high: float) -> Floats:
    """By how much each sample is to move so that a stride's way fits between two ends: all of it is
    drawn together alike, toward the end that it keeps or its middle."""
    least, most = float(values.min()), float(values.max())
    to_least, to_most = max(least, low), min(most, high)
    share = (to_most - to_least) / max(most - least, 1e-9)
    return np.asarray(to_least + share * (values - least) - values)


def _on_samples(values: Floats, first: int, length: int, count: int) -> dict[int, float]:
    """A lap's values from its sample `first` on, by samples of the range; of a loop whose first
    pose comes again at its end on both."""
    found: dict[int, float] = {}
    for at, value in enumerate(values.tolist(), start=first):
        for sample in (at, at - length) if length else (at,):
            if 0 <= sample < count:
                found[sample] = value
    return found


def _reach(
    lap: Lap, worst: Stride, others: list[Stride], span: tuple[int, int], axis: int
) -> tuple[Floats, float, float]:
    """Where the body is on each sample of a span, and between what it goes in other strides.

    Metres to the left, or up.
    """
    path = lap.lead[span[0] : span[1] + 1]
    if axis == UP:
        heights = [lap.lead[each.first : each.last + 1, 2] for each in others]
        low, high = (float(np.median([f(z) for z in heights])) for f in (np.min, np.max))
        values = path[:, 2]
    else:
        left = left_of(worst.ahead)
        own = lap.lead[worst.first : worst.last + 1] @ left
        half = 0.5 * float(np.median([np.ptp(away_in(lap.lead, s)[:, SIDE]) for s in others]))
        middle = 0.5 * float(own.max() + own.min())
        low, high = middle - half, middle + half
        values = path @ left
    return np.asarray(values), low, high


def _clearest(events: list[RawEvent]) -> list[RawEvent]:
    """Of events that overlap, to the side and up, the one that is further over its limit."""
    kept: list[RawEvent] = []
    for event in sorted(events, key=lambda each: -each.amount / each.limit):
        if not any(event.first <= other.last and other.first <= event.last for other in kept):
            kept.append(event)
    return sorted(kept, key=lambda each: each.first)
