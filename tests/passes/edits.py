# SPDX-License-Identifier: GPL-3.0-or-later
"""What is done to a shot between two passes, and where its frames are afterwards."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat
from analysis.clip import PER_FRAME
from tests.quality.figure import rebuild

Floats = NDArray[np.float64]
# Places and numbers that stand between two samples; what is not named here is dropped.
_KEPT = ("frames", "positions", "rotations", "valid")


# Frames on either side that take part where some are put in by slowing down.
OVER = 12


@dataclass(frozen=True, eq=False)
class Edited:
    """A clip after an edit; `where` tells the frame on which an old frame is now, or None where it
    is gone."""

    clip: Clip
    where: Callable[[float], float | None]


def bare(clip: Clip) -> Clip:
    """The motion alone: what an edit of samples would leave behind (keys, cameras) is dropped."""
    dropped = {name: None for name in PER_FRAME if name not in _KEPT}
    meta = replace(clip.meta, curves=(), controls=(), carried={}, targets={}, supports=())
    return replace(clip, **dropped, supports=None, channels=(), meta=meta)


def resampled(clip: Clip, at: Floats, frames: Floats | None = None, fps: float = 0.0) -> Clip:
    """The clip with its poses at samples `at` (N,), between samples too, one a frame."""
    below = np.clip(np.floor(at).astype(int), 0, len(clip.frames) - 2)
    share = np.clip(at - below, 0.0, 1.0)[:, None, None]
    turns = quat.continuous(clip.rotations)
    places = (1.0 - share) * clip.positions[below] + share * clip.positions[below + 1]
    turned = quat.normalise((1.0 - share) * turns[below] + share * turns[below + 1])
    if frames is None:
        frames = clip.frames[0] + np.arange(len(at), dtype=np.float64)
    valid = None if clip.valid is None else clip.valid[below] & clip.valid[below + 1]
    return replace(
        clip,
        frames=frames,
        fps=fps or clip.fps,
        positions=places,
        rotations=turned,
        valid=valid,
    )


def inserted(clip: Clip, at: int, count: int) -> Edited:
    """So many frames in between that hold the pose of sample `at`."""
    order = np.concatenate((np.arange(at + 1), np.full(count, at), np.arange(at + 1, _len(clip))))
    edge = clip.frames[at]
    return Edited(resampled(clip, order * 1.0), lambda f: f if f <= edge else f + count)


def stretched(clip: Clip, at: int, count: int, over: int = OVER) -> Edited:
    """So many frames in between, by slowing down the `over` frames on either side."""
    was = np.array([0.0, max(at - over, 1), min(at + over, _len(clip) - 2), _len(clip) - 1.0])
    return _warped(clip, was, was + np.array([0.0, 0.0, count, count]))


def removed(clip: Clip, at: int, count: int) -> Edited:
    """Without so many frames from sample `at` on."""
    order = np.concatenate((np.arange(at), np.arange(at + count, _len(clip)))) * 1.0
    first, last = clip.frames[at], clip.frames[at] + count

    def where(frame: float) -> float | None:
        return frame if frame < first else (None if frame < last else frame - count)

    return Edited(resampled(clip, order), where)


def retimed(clip: Clip, factor: float) -> Edited:
    """Played so many times as long."""
    was = np.array([0.0, _len(clip) - 1.0])
    return _warped(clip, was, np.round(was * factor))


def at_rate(clip: Clip, fps: float) -> Edited:
    """At another frame rate, the same in seconds."""
    ratio = fps / clip.fps
    at = np.arange(int((_len(clip) - 1) * ratio) + 1) / ratio
    first = clip.frames[0]
    return Edited(resampled(clip, at, fps=fps), lambda f: first + (f - first) * ratio)


def moved(clip: Clip, degrees: float, way: tuple[float, float, float]) -> Edited:
    """Turned about the world's origin and moved by metres."""
    half = np.radians(degrees) / 2.0
    turn = np.array([np.cos(half), 0.0, 0.0, np.sin(half)])
    places = quat.rotate(np.broadcast_to(turn, (*clip.positions.shape[:2], 4)), clip.positions)
    turns = quat.multiply(np.broadcast_to(turn, clip.rotations.shape), clip.rotations)
    return Edited(replace(clip, positions=places + np.array(way), rotations=turns), lambda f: f)


def later(clip: Clip, frames: float) -> Edited:
    """The same on other frames of the scene."""
    return Edited(replace(clip, frames=clip.frames + frames), lambda f: f + frames)


def cut(clip: Clip, first: float, last: float) -> Edited:
    """A part of the range."""
    inside = clip.frames[0] + first, clip.frames[-1] - last
    return Edited(clip.cut(*inside), lambda f: f if inside[0] <= f <= inside[1] else None)


def trembling(clip: Clip, size_m: float, rng: np.random.Generator) -> Edited:
    """With so much noise in each coordinate of each joint."""
    noise = rng.normal(0.0, size_m, clip.positions.shape)
    return Edited(replace(clip, positions=clip.positions + noise), lambda f: f)


def turned_round(clip: Clip, frames: int) -> Edited:
    """A loop in place that starts so many frames later: its first frames come last."""
    count = _len(clip)
    order = (np.arange(count) + frames) % count
    first = clip.frames[0]
    found = replace(
        clip, positions=clip.positions[order], rotations=quat.continuous(clip.rotations[order])
    )
    return Edited(found, lambda f: first + (f - first - frames) % count)


def bent(clip: Clip, joint: int, at: int, way: Floats, over: int = 10) -> Edited:
    """One joint moved by a smooth bump of `over` frames to either side, and what hangs on it."""
    beside = np.abs(np.arange(_len(clip)) - at) / over
    amount = np.where(beside < 1.0, 0.5 + 0.5 * np.cos(np.pi * np.minimum(beside, 1.0)), 0.0)
    return Edited(rebuild(clip, joint, shift=np.outer(amount, way)), lambda f: f)


def _warped(clip: Clip, was: Floats, now: Floats) -> Edited:
    """Samples `was` are at `now` afterwards, straight between them."""
    at = np.interp(np.arange(now[-1] + 1.0), now, was)
    first = clip.frames[0]
    return Edited(resampled(clip, at), lambda f: first + float(np.interp(f - first, was, now)))


def _len(clip: Clip) -> int:
    return len(clip.frames)
