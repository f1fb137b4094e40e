# SPDX-License-Identifier: GPL-3.0-or-later
"""Automatic handles through which acceleration is continuous, where their clamps allow it.

As Blender finds them (BKE_nurb_handle_smooth_fcurve): each run of automatic keys between keys that
are settled is one system of equations, one unknown a key: by how much its right handle lies above
it. What would leave its clamps is locked there, and let go where it would come back.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from .handles import AUTOMATIC, Handles, arm_length, turn_away
from .within import System, solve_within

_SET = (*AUTOMATIC, "VECTOR")


def smooth_handles(keys: Handles, *, around: bool) -> None:
    """Smooth what `set_handles` has set; `around` where handles see over the seam."""
    last = len(keys.x) - 1
    around = around and _is_loose(keys, 0) and _is_loose(keys, last)
    for start, count in _runs(keys, around=around):
        _smooth(keys, start, count, around=around)


def _is_loose(keys: Handles, n: int) -> bool:
    return keys.is_auto(n) and not keys.settled[n]


def _runs(keys: Handles, *, around: bool) -> Iterator[tuple[int, int]]:
    """(first key, number of keys) of runs that end at settled keys or at the curve's ends."""
    total = len(keys.x)
    start = 0
    if around:
        start = next((n for n in range(1, total - 1) if not _is_loose(keys, n)), 0)
        if start == 0:
            yield 0, total
            return
    at, count = start, 1
    for _ in range(1, total):
        at = at + 1 if not (around and at == total - 2) else 0
        if _is_loose(keys, at):
            count += 1
        else:
            yield start, count + 1
            start, count = at, 1
    if count > 1:
        yield start, count


def _smooth(keys: Handles, start: int, count: int, *, around: bool) -> None:
    total = len(keys.x)
    # Over the seam the last key and the first are one: the first one's handle follows.
    run = [n if n < total else n - total + 1 for n in range(start, start + count)]
    whole = around and start == 0 and count == total
    loose_first = _is_free_end(keys, run[0], 1, end=start == 0)
    loose_last = _is_free_end(keys, run[-1], 0, end=start + count == total)
    if count < 2 or (count == 2 and not whole and loose_first == loose_last):
        return
    spans = _spans(keys, run, whole=whole)
    system = System(count, *_limits(keys, run, spans, around=around))
    for i in range(0 if whole else 1, count - 1):
        _continue(system, i, spans)
    if whole:
        system.low[0] = max(system.low[0], system.low.pop())
        system.high[0] = min(system.high[0], system.high.pop())
        system.shorten()
    else:
        _set_ends(system, keys, run, spans, loose=(loose_first, loose_last))
    heights = solve_within(system)
    _put(keys, run, heights + heights[:1] if whole else heights, spans.ratio)
    if loose_first or whole:
        _put_one(keys, run[0], 1, heights[0], end=start == 0)
    if loose_last or whole:
        low = -(heights[0] if whole else heights[-1]) / spans.ratio[-1]
        _put_one(keys, run[-1], 0, low, end=start + count == total)


@dataclass(frozen=True)
class _Spans:
    """Of a run's keys: frames (dx) and values (dy) from the key before, and by how much longer
    the span after a key is than the one before (ratio). Of the first key over the seam."""

    dx: list[float]
    dy: list[float]
    ratio: list[float]


def _spans(keys: Handles, run: list[int], *, whole: bool) -> _Spans:
    dx, dy = ([row[n] - row[n - 1] for n in run[1:]] for row in (keys.x, keys.y))
    dx, dy = [dx[-1], *dx], [dy[-1], *dy]
    seam = dx[1] / dx[0] if whole else 1.0
    middle = [dx[i + 1] / dx[i] for i in range(1, len(run) - 1)]
    return _Spans(dx, dy, [seam, *middle, seam])


def _is_free_end(keys: Handles, n: int, side: int, *, end: bool) -> bool:
    """Whether the handle at a run's end is one of the unknowns."""
    kind = keys.kinds[n][side]
    return kind == "VECTOR" or (end and kind in AUTOMATIC and not keys.settled[n])


def _limits(
    keys: Handles, run: list[int], spans: _Spans, *, around: bool
) -> tuple[list[float], list[float]]:
    """Between what a right handle may lie: not back, and not beyond the next key."""
    low, high = [-math.inf] * len(run), [math.inf] * len(run)

    def hold(i: int, most: float) -> None:
        low[i], high[i] = max(low[i], min(most, 0.0)), min(high[i], max(most, 0.0))

    last = len(keys.x) - 1
    clamps = [keys.clamps(n) for n in run]
    for i, n in enumerate(run[1:], start=1):
        clamps[i] |= around and n == last and keys.clamps(0)
        if clamps[i - 1]:
            hold(i - 1, spans.dy[i])
        if clamps[i]:
            hold(i, spans.dy[i] * spans.ratio[i])
    return low, high


def _continue(system: System, i: int, spans: _Spans) -> None:
    """The acceleration before a key is that after it."""
    ratio, square = spans.ratio[i], spans.ratio[i] ** 2
    system.a[i], system.b[i], system.c[i] = square, 2.0 * (ratio + 1.0), 1.0 / spans.ratio[i + 1]
    system.d[i] = spans.dy[i] * square + spans.dy[i + 1]


def _set_ends(
    system: System, keys: Handles, run: list[int], spans: _Spans, *, loose: tuple[bool, bool]
) -> None:
    """A run's ends: no acceleration there, or the handles that they have.

    A handle that is no third of its segment changes what the key beside it has to do.
    """
    ratio, (loose_first, loose_last) = spans.ratio, loose
    odd_first = odd_last = 0.0
    if loose_first:
        system.b[0], system.c[0], system.d[0] = 2.0, 1.0 / ratio[1], spans.dy[1]
    else:
        height, odd_first = _fitted(keys, keys.right, run[0], spans.dx[1])
        system.lock(0, height)
    if loose_last:
        system.a[-1], system.b[-1] = ratio[-1] ** 2, 2.0 * ratio[-1]
        system.d[-1] = spans.dy[-1] * ratio[-1] ** 2
    else:
        height, odd_last = _fitted(keys, keys.left, run[-1], spans.dx[-1])
        system.lock(len(run) - 1, height)
    if len(run) > 2 or loose_last:
        system.b[1] += ratio[1] * odd_first
    if len(run) > 2 or loose_first:
        system.b[-2] += odd_last


def _fitted(keys: Handles, side: list[list[float]], n: int, span: float) -> tuple[float, float]:
    """By how much a key's right handle would lie above it if this one were cut where it meets the
    other side's third, and by how much it falls short of a third itself."""
    sign = 1.0 if side is keys.right else -1.0
    long, high = sign * (side[n][0] - keys.x[n]), sign * (side[n][1] - keys.y[n])
    cut = min(span / (long + span / 3.0), 1.0)
    return high * cut, 1.0 - 3.0 * long * cut / span


def _put(keys: Handles, run: list[int], heights: list[float], ratio: list[float]) -> None:
    """Write the handles of a run's inner keys."""
    last = len(keys.x) - 1
    for i in range(1, len(run) - 1):
        seam = run[i] == last
        _put_one(keys, run[i], 0, -heights[i] / ratio[i], end=seam)
        _put_one(keys, 0 if seam else run[i], 1, heights[i], end=seam)


def _put_one(keys: Handles, n: int, side: int, height: float, *, end: bool) -> None:
    """Put a handle that is set by itself so much above its key; an aligned one on the other side
    turns with it, and at the curve's ends the other side is its mirror image."""
    if keys.kinds[n][side] not in _SET:
        return
    this, other = (keys.right, keys.left) if side else (keys.left, keys.right)
    this[n] = [this[n][0], keys.y[n] + height]
    if keys.kinds[n][1 - side] == "ALIGNED":
        share = arm_length(keys, other, n) / arm_length(keys, this, n)
        turn_away(keys, this, other, n, share)
    elif end and keys.kinds[n][1 - side] in _SET:
        turn_away(keys, this, other, n, 1.0)
