# SPDX-License-Identifier: GPL-3.0-or-later
"""Whether an object's curves say that the range plays as a loop."""

from typing import Any

import numpy as np

from .curves import cycle_rounds, playing_fcurves, playing_sources

# How many frames longer than whole rounds a range may be and still play as a loop.
REPEATS_S, LEAST_REPEATS = 0.25, 3
# Keys are alike within this share of what their curve spans; a loop's are so for this share of
# the curves (travel, and what was forgotten, are the rest).
ALIKE_SHARE, MOST_SHARE = 0.01, 0.75
SAME_FRAME = 0.01


def plays_as_cycle(
    owner: Any, first: int, last: int, *, fps: float, stretch: float = 1.0
) -> bool | None:
    """True where the curves say that the range plays as a loop; else None.

    They do where they are cyclic and the range holds whole rounds of them, and where they are
    keyed to close: on the frame after the range most have a key that repeats their first. Asked
    is the active action, not strips. A range that is a few frames longer than whole rounds (up
    to a quarter of a second, three frames or more, and a third of a round at most) still plays as
    a loop: those frames are repeats. Curves that do not say so leave the question open.
    `stretch` is the scene's time remapping, scene frames for one frame of animation.
    """
    if _keyed_to_close(owner, first / stretch, (last + 1) / stretch):
        return True
    period = _round_frames(owner)
    if period is None:
        return None
    length, period = last - first + 1, round(period * stretch)
    if period <= 1 or length < period:
        return None
    most = min(max(round(REPEATS_S * fps), LEAST_REPEATS), max(period // 3, 1))
    return True if length % period <= most else None


def _round_frames(owner: Any) -> float | None:
    """Length of a round in frames of animation: the action's own, else the curves' median."""
    source = next((each for each in playing_sources(owner) if each.strip is None), None)
    if source is None:
        return None
    keyed = [c for c in playing_fcurves(owner, source) if len(c.keyframe_points) > 1]
    action = source.action
    if keyed and action.use_frame_range and action.use_cyclic:
        return float(action.frame_end - action.frame_start)
    cyclic = [(curve, cycle_rounds(curve)) for curve in keyed if cycle_rounds(curve)]
    if not keyed or 2 * len(cyclic) < len(keyed):
        return None
    spans = sorted(rounds * _span(curve) for curve, rounds in cyclic)
    return spans[len(spans) // 2]


def _keyed_to_close(owner: Any, first: float, after: float) -> bool:
    """Whether most of what moves has keys on `first` and `after`, and most of those are alike."""
    source = next((each for each in playing_sources(owner) if each.strip is None), None)
    if source is None:
        return False
    keys = [_keys(each) for each in playing_fcurves(owner, source)]
    spreads = [(each, float(np.ptp(each[:, 1]))) for each in keys if len(each)]
    moving = [(each, spread) for each, spread in spreads if spread > 0.0]
    ends = [(_key_at(each, first), _key_at(each, after), spread) for each, spread in moving]
    keyed = [(a, b, spread) for a, b, spread in ends if a is not None and b is not None]
    alike = [abs(b - a) <= ALIKE_SHARE * spread for a, b, spread in keyed]
    return bool(keyed) and 2 * len(keyed) > len(moving) and sum(alike) >= MOST_SHARE * len(keyed)


def _keys(curve: Any) -> Any:
    """(K,2) frame and value of each key, in the order of time."""
    keys = np.zeros((len(curve.keyframe_points), 2), dtype=np.float32)
    curve.keyframe_points.foreach_get("co", keys.reshape(-1))
    return keys.astype(np.float64)


def _key_at(keys: Any, frame: float) -> float | None:
    """The value of the key on a frame, or None."""
    at = int(np.searchsorted(keys[:, 0], frame - SAME_FRAME))
    found = at < len(keys) and abs(keys[at, 0] - frame) <= SAME_FRAME
    return float(keys[at, 1]) if found else None


def _span(curve: Any) -> float:
    keys = curve.keyframe_points
    return float(keys[-1].co.x - keys[0].co.x)
