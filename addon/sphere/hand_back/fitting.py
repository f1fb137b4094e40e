# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys for channels that go, between them, as the ball goes.

What the ball's axes do is carried over to each channel: the same interpolation and easing, where
all axes that move it do the same; Bezier handles at the times at which the axes have theirs, their
values such that the channel comes nearest to what it must be on the frames between. Where only
straight lines and Bezier curves mix, it is a Bezier curve; what no curve can (a step on one axis
beside a curve on another, turned into each other) is left to the error that is told.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from .ball import SAME_FRAME, BallCurves, Leg
from .beziers import fitted
from .key_arrays import ALIGNED, BEZIER, CONSTANT, FREE, LINEAR, Keys, new_keys

# An axis that counts for less of a channel than this counts for nothing.
_COUNTS = 1e-4
# A mixture of axes is fixed where it leaves no more than this share of the channel's values.
_FIXED = 1e-5
# Both handles of a key lie on a line where they miss it by no more than this share of their rise,
# or of this rise where they are level.
_IN_LINE, _LEVEL = 1e-4, 1e-2
# A linear segment, as `Keys.segment` says it.
_LINE = (float(LINEAR), 0.0, 1.70158, 0.8, 4.1)


@dataclass(frozen=True, eq=False)
class Wanted:
    """What C channels have to be on N samples.

    times (N,)       frames of animation, those of the ball's keys among them
    values (N,C)
    mixes (N,C,A)    what each of the ball's axes counts for in each channel
    """

    times: Any
    values: Any
    mixes: Any


def every_frame(times: Any, values: Any) -> list[Keys]:
    """Linear keys for each of the channels (N,C), on all times (N,)."""
    return [new_keys(times, values[:, c]) for c in range(values.shape[1])]


def as_the_ball(ball: BallCurves, wanted: Wanted) -> list[Keys]:
    """Keys for each channel where the ball has keys."""
    return [_channel(ball, wanted, c) for c in range(wanted.values.shape[1])]


def _channel(ball: BallCurves, wanted: Wanted, channel: int) -> Keys:
    own = _own_keys(ball, wanted, channel)
    at = np.searchsorted(wanted.times, ball.times[own] - SAME_FRAME)
    values = wanted.values[:, channel]
    keys = new_keys(ball.times[own], values[at])
    keys.rest["type"][:] = ball.kinds[own]
    for number, (first, last) in enumerate(pairwise(ball.times[own])):
        span = slice(at[number], at[number + 1] + 1)
        axes = [ball.leg(axis, first, last) for axis in range(len(ball.curves))]
        counted = _counted(wanted.mixes[span, channel])
        moving = [leg for leg, counts in zip(axes, counted, strict=True) if leg.moves and counts]
        way, times = _together(moving or axes)
        if times is None:
            keys.set_segment(number, way)
        else:
            _bend(keys, number, times, wanted.times[span], values[span])
    if len(keys) > 1:
        keys.set_segment(len(keys) - 1, keys.segment(len(keys) - 2))
    _set_handles(keys)
    return keys


def _counted(mixes: Any) -> Any:
    """(A,) which of the ball's axes count for a channel on some samples (N,A)."""
    weight = np.abs(mixes).max(axis=0)
    return weight > _COUNTS * weight.max()


def _own_keys(ball: BallCurves, wanted: Wanted, channel: int) -> Any:
    """(K,) on which of the ball's frames a channel needs a key.

    Where it is nothing but the axes that count for it, in a fixed mixture, it goes as they do: keys
    of other axes would only cut that up. Else something moves below it, and every key is needed.
    """
    counted = _counted(wanted.mixes[:, channel])
    own = np.any([ball.has_key(int(axis)) for axis in np.nonzero(counted)[0]], axis=0)
    own[[0, -1]] = True
    if own.all():
        return own
    values = wanted.values[:, channel]
    rows = np.column_stack((ball.at(wanted.times)[:, counted], np.ones(len(values))))
    found, *_ = np.linalg.lstsq(rows, values, rcond=None)
    fixed = np.abs(rows @ found - values).max() <= _FIXED * np.abs(values).max()
    return own if fixed else np.ones_like(own)


def _together(legs: list[Leg]) -> tuple[tuple[float, ...], Any]:
    """How axes go together: what a key says of it, and handle times (4,) where that is a Bezier."""
    said = [leg for leg in legs if leg.way is not None]
    unsaid = any(leg.way is None and leg.moves for leg in legs)
    ways = {leg.way for leg in said}
    kinds = {int(way[0]) for way in ways if way is not None}
    if not ways and not unsaid:
        return _LINE, None
    if not unsaid and (kinds in ({LINEAR}, {CONSTANT}) or (len(ways) == 1 and kinds != {BEZIER})):
        return said[0].way or _LINE, None
    bent = [leg.points[:, 0] for leg in said if leg.way and int(leg.way[0]) == BEZIER]
    # A line has no handles of its own: any times do.
    return _LINE, np.mean(bent, axis=0) if bent else np.arange(4.0)


def _bend(keys: Keys, number: int, handles: Any, times: Any, values: Any) -> None:
    """Let the segment after a key be the Bezier that comes nearest to values on times."""
    keys.rest["interpolation"][number] = BEZIER
    first, last = keys.places["co"][number], keys.places["co"][number + 1]
    spread = (handles - handles[0]) / (handles[3] - handles[0])
    at = first[0] + spread * (last[0] - first[0])
    ends = np.array([first[1], last[1]])
    expected = _expected(at, times, values)
    between = slice(1, -1)
    found = fitted(at, ends, expected, times[between], values[between])
    keys.places["handle_right"][number] = (at[1], found[0])
    keys.places["handle_left"][number + 1] = (at[2], found[1])


def _expected(at: Any, times: Any, values: Any) -> Any:
    """(2,) where handles would be on the slopes that the values have at both ends."""
    if len(times) < 3:
        line = np.interp(at[1:3], (at[0], at[3]), values[[0, -1]])
        return np.asarray(line)
    slopes = np.gradient(values, times)
    return np.array(
        [
            values[0] + slopes[0] * (at[1] - at[0]),
            values[-1] - slopes[-1] * (at[3] - at[2]),
        ]
    )


def _set_handles(keys: Keys) -> None:
    """Fix handles of Bezier segments where they are: in line where they are in line."""
    kinds = keys.rest["interpolation"]
    count = len(keys)
    left = np.array([n > 0 and kinds[n - 1] == BEZIER for n in range(count)])
    right = np.array([n + 1 < count and kinds[n] == BEZIER for n in range(count)])
    co, one, two = (keys.places[name] for name in ("co", "handle_left", "handle_right"))
    for n in range(count):
        if not (left[n] or right[n]):
            continue
        if not left[n]:
            one[n] = 2.0 * co[n] - two[n]
        if not right[n]:
            two[n] = 2.0 * co[n] - one[n]
        code = ALIGNED if in_line(one[n], co[n], two[n]) else FREE
        keys.rest["handle_left_type"][n] = keys.rest["handle_right_type"][n] = code


def in_line(left: Any, key: Any, right: Any) -> bool:
    """Whether both handles of a key lie on one line through it."""
    before, after = key - left, right - key
    if before[0] <= 0.0 or after[0] <= 0.0:
        return False
    slopes = before[1] / before[0], after[1] / after[0]
    rise = max(abs(before[1]), abs(after[1]), _LEVEL)
    return bool(abs(slopes[0] - slopes[1]) * min(before[0], after[0]) <= _IN_LINE * rise)
