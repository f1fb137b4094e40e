# SPDX-License-Identifier: GPL-3.0-or-later
"""How much of what a source plays arrives, where strips and the active action lie in layers."""

from collections.abc import Collection, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from .strips import LAST_FRAME, Influence, Source

Floats = NDArray[np.float64]
# A share over time: (frame of animation, share), straight between them and held beyond.
Table = tuple[tuple[float, float], ...]

# What begins or ends at once does so within this part of a frame.
_AT_ONCE = 1e-3
# Shares that differ by less are one.
_SAME = 1e-6
# Longer stretches are not followed frame by frame.
_MOST_FRAMES = 20000


def own_influence(source: Source) -> Table:
    """The influence of a strip or of the active action; empty where it counts in full."""
    frames = _moments([source])
    return _table(frames, _influence(source, frames))


def arriving(
    sources: Sequence[Source], channels: Sequence[Collection[Any]], which: int, channel: Any
) -> Table:
    """How much of a change to one channel of `sources[which]` arrives; empty: all of it, always.

    sources    as `playing_sources` gives them, bottom up but for the active action, which is
               above all; channels: what each of them animates. It is nothing where the source
               is not heard, and where one above it replaces it.
    """
    above = [
        n
        for n, source in enumerate(sources)
        if _is_above(sources, n, which) and channel in channels[n] and source.blend == "REPLACE"
    ]
    source = sources[which]
    if not above and not source.influences and _is_always(source):
        return ()
    frames = _moments([source, *(sources[n] for n in above)])
    share = _weight(source, frames)
    for n in above:
        share = share * (1.0 - _weight(sources[n], frames))
    return _table(frames, share)


def _is_above(sources: Sequence[Source], n: int, other: int) -> bool:
    if sources[n].strip is None or sources[other].strip is None:
        return sources[n].strip is None and n != other
    return n > other


def _is_always(source: Source) -> bool:
    return source.reach == (-LAST_FRAME, LAST_FRAME)


def _moments(sources: Sequence[Source]) -> Floats:
    """(N,) whole frames over all that changes, and both sides of where strips begin and end."""
    edges = [edge for each in sources for edge in (*each.reach, *(each.frames or ()))]
    for each in sources:
        for influence in each.influences:
            edges += influence.frames
            if influence.curve is not None:
                edges += [float(key.co.x) for key in influence.curve.keyframe_points]
    known = [edge for edge in edges if abs(edge) < LAST_FRAME] or [0.0]
    first, last = np.floor(min(known)) - 1.0, np.ceil(max(known)) + 1.0
    whole = np.arange(first, min(last, first + _MOST_FRAMES) + 1.0)
    near = [edge + side for edge in known for side in (-_AT_ONCE, 0.0, _AT_ONCE)]
    return np.unique(np.concatenate((whole, near)))


def _weight(source: Source, frames: Floats) -> Floats:
    heard = (frames >= source.reach[0]) & (frames <= source.reach[1])
    return np.where(heard, _influence(source, frames), 0.0)


def _influence(source: Source, frames: Floats) -> Floats:
    share = np.ones(frames.shape)
    for each in source.influences:
        share = share * _share(each, frames)
    return np.asarray(share)


def _share(influence: Influence, frames: Floats) -> Floats:
    if influence.turn is not None:
        frames = influence.turn - frames
    first, last = influence.frames
    frames = np.clip(frames, first, last)
    if influence.curve is not None:
        return np.clip([influence.curve.evaluate(float(frame)) for frame in frames], 0.0, 1.0)
    share = np.full(frames.shape, influence.number)
    into, out = influence.fades
    if into > 0.0:
        share = share * np.clip((frames - first) / into, 0.0, 1.0)
    if out > 0.0:
        share = share * np.clip((last - frames) / out, 0.0, 1.0)
    return np.asarray(share)


def _table(frames: Floats, share: Floats) -> Table:
    """The pairs that are needed: those where the share bends. One pair where it is constant."""
    if np.ptp(share) < _SAME:
        return () if abs(share[0] - 1.0) < _SAME else ((float(frames[0]), float(share[0])),)
    slope = np.diff(share) / np.diff(frames)
    bends = np.abs(np.diff(slope)) > _SAME
    keep = np.concatenate(([True], bends, [True]))
    return tuple(zip(frames[keep].tolist(), share[keep].tolist(), strict=True))
