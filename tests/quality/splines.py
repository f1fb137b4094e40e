# SPDX-License-Identifier: GPL-3.0-or-later
"""Keyed curves as an animator's: Bezier segments whose handles Blender would set by itself."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.keys.bezier import PLAIN_REACH, SMOOTH_REACH, bezier, parameter_at

Floats = NDArray[np.float64]

KINDS = ("clamped", "plain", "auto", "linear")
# Keys that differ by less are level: their handles lie flat.
LEVEL = 1e-9
_ROUNDS = 6


@dataclass(frozen=True, eq=False)
class Spline:
    """C channels with K keys on the same frames.

    frames (K,) rising; values (K,C); slopes_in, slopes_out (K,C) of the handles before and
    after each key, in values a frame; reach: share of a segment that its handles cover;
    kind, cyclic: what the handles were set by.
    """

    frames: Floats
    values: Floats
    slopes_in: Floats
    slopes_out: Floats
    reach: float
    kind: str
    cyclic: bool = False

    def with_values(self, values: Floats) -> "Spline":
        """The same keys with other values (K,C), and handles to match."""
        return spline(self.frames, values, self.kind, cyclic=self.cyclic)

    def at(self, frames: Floats) -> Floats:
        """(N,C) the curve on any frames; outside its keys it is held, or goes on cyclically."""
        frames = np.asarray(frames, dtype=np.float64)
        if self.cyclic:
            rounds = np.floor((frames - self.frames[0]) / (self.frames[-1] - self.frames[0]))
            once = replace(self, cyclic=False)
            inside = frames - rounds * (self.frames[-1] - self.frames[0])
            return once.at(inside) + rounds[:, None] * (self.values[-1] - self.values[0])
        frames = np.clip(frames, self.frames[0], self.frames[-1])
        a = np.clip(np.searchsorted(self.frames, frames, side="right") - 1, 0, len(self.frames) - 2)
        length = self.frames[a + 1] - self.frames[a]
        share = (frames - self.frames[a]) / length
        u = parameter_at(share, self.reach, self.reach)[:, None]
        arm = (self.reach * length)[:, None]
        p, s = self.values[a], self.values[a + 1]
        q, r = p + arm * self.slopes_out[a], s - arm * self.slopes_in[a + 1]
        return bezier(u, p, q, r, s)


def spline(
    frames: Floats, values: Floats, kind: str = "clamped", *, cyclic: bool = False
) -> Spline:
    """Handles for keys (K,) with values (K,C), K two or more.

    clamped  Blender's auto-clamped handles with continuous acceleration: flat at extremes and
             at the ends, never beyond a neighbour's value
    plain    auto-clamped without smoothing: the mean of both neighbours' slopes
    auto     automatic, not clamped: a spline of continuous acceleration, flat at the ends
    linear   straight from key to key
    cyclic   the last key repeats the first, and the handles know it
    """
    if kind not in KINDS:
        raise ValueError(f"the handles are {kind!r}, expected one of {', '.join(KINDS)}.")
    frames, values = np.asarray(frames, dtype=np.float64), np.asarray(values, dtype=np.float64)
    if cyclic:
        return _unwrapped(frames, values, kind)
    if kind == "linear" or len(frames) == 2:
        return _linear(frames, values) if kind == "linear" else _flat(frames, values, kind)
    reach = PLAIN_REACH if kind == "plain" else SMOOTH_REACH
    fixed, slopes = _flat_keys(values, clamped=kind != "auto")
    if kind == "plain":
        steps = np.diff(values, axis=0) / np.diff(frames)[:, None]
        middle = 0.5 * (steps[1:] + steps[:-1])
        slopes[1:-1] = np.where(fixed[1:-1], 0.0, middle)
        slopes = _clamped(frames, values, slopes, reach)[0]
    else:
        slopes = _smooth(frames, values, fixed, slopes, clamped=kind == "clamped")
    return Spline(frames, values, slopes, slopes.copy(), reach, kind)


def _linear(frames: Floats, values: Floats) -> Spline:
    steps = np.diff(values, axis=0) / np.diff(frames)[:, None]
    before, after = np.concatenate((steps[:1], steps)), np.concatenate((steps, steps[-1:]))
    return Spline(frames, values, before, after, SMOOTH_REACH, "linear")


def _flat(frames: Floats, values: Floats, kind: str) -> Spline:
    return Spline(frames, values, 0.0 * values, 0.0 * values, SMOOTH_REACH, kind)


def _flat_keys(values: Floats, *, clamped: bool) -> tuple[NDArray[np.bool_], Floats]:
    """(K,C) which keys' handles lie flat, and slopes of zero to start from."""
    fixed = np.zeros(values.shape, dtype=bool)
    fixed[[0, -1]] = True
    if clamped:
        steps = np.diff(values, axis=0)
        steps[np.abs(steps) < LEVEL] = 0.0
        fixed[1:-1] = steps[1:] * steps[:-1] <= 0.0
    return fixed, np.zeros(values.shape)


def _smooth(
    frames: Floats, values: Floats, fixed: NDArray[np.bool_], slopes: Floats, *, clamped: bool
) -> Floats:
    """Slopes (K,C) of continuous acceleration at all keys that are not fixed."""
    for _ in range(_ROUNDS):
        slopes = _solve(frames, values, fixed, slopes)
        if not clamped:
            return slopes
        slopes, beyond = _clamped(frames, values, slopes, SMOOTH_REACH)
        if not (beyond & ~fixed).any():
            return slopes
        fixed = fixed | beyond
    return _clamped(frames, values, slopes, SMOOTH_REACH)[0]


def _solve(frames: Floats, values: Floats, fixed: NDArray[np.bool_], slopes: Floats) -> Floats:
    gap = np.diff(frames)
    steps = np.diff(values, axis=0) / (gap**2)[:, None]
    count, columns = values.shape
    rows = np.zeros((count, count))
    inside = np.arange(1, count - 1)
    rows[inside, inside - 1], rows[inside, inside + 1] = 1.0 / gap[:-1], 1.0 / gap[1:]
    rows[inside, inside] = 2.0 / gap[:-1] + 2.0 / gap[1:]
    wanted = np.zeros((count, columns))
    wanted[1:-1] = 3.0 * (steps[:-1] + steps[1:])
    wanted = np.where(fixed, slopes, wanted)
    matrix = np.where(fixed.T[:, :, None], np.eye(count), rows)
    return np.linalg.solve(matrix, wanted.T[..., None])[..., 0].T


def _clamped(
    frames: Floats, values: Floats, slopes: Floats, reach: float
) -> tuple[Floats, NDArray[np.bool_]]:
    """Slopes whose handles stay between a key and its neighbours, and which had to be cut."""
    steps = np.diff(values, axis=0)
    most = np.abs(steps) / (reach * np.diff(frames))[:, None]
    room = np.minimum(np.concatenate((most[:1], most)), np.concatenate((most, most[-1:])))
    rising = np.concatenate((steps[:1], steps)) >= 0.0
    cut = np.clip(slopes, np.where(rising, 0.0, -room), np.where(rising, room, 0.0))
    return cut, np.abs(slopes - cut) > LEVEL


def _unwrapped(frames: Floats, values: Floats, kind: str) -> Spline:
    """A loop: handles of the middle of three rounds, the travel between rounds kept."""
    length, travel = frames[-1] - frames[0], values[-1] - values[0]
    rounds = [frames[:-1] + n * length for n in (-1, 0, 1)] + [frames[:1] + 2.0 * length]
    heights = [values[:-1] + n * travel for n in (-1, 0, 1)] + [values[:1] + 2.0 * travel]
    whole = spline(np.concatenate(rounds), np.concatenate(heights), kind)
    once = slice(len(frames) - 1, 2 * len(frames) - 1)
    slopes = whole.slopes_in[once], whole.slopes_out[once]
    return Spline(frames, values, *slopes, whole.reach, kind, cyclic=True)
