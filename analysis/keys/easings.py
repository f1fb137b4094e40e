# SPDX-License-Identifier: GPL-3.0-or-later
"""How a key eases to the next one, where it has one of Blender's named easings.

The forms are Robert Penner's easing equations, which Blender uses; how elastic ones begin where
their amplitude is less than the way is Blender's own.
"""

from collections.abc import Callable, Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Easing that AUTO stands for: these ease out, all others in.
EASED_OUT = ("BACK", "BOUNCE", "ELASTIC")
KINDS = ("BACK", "BOUNCE", "CIRC", "CUBIC", "ELASTIC", "EXPO", "QUAD", "QUART", "QUINT", "SINE")
# A Back that eases both ways overshoots by so much more (Penner).
_BACK_BOTH = 1.525
# What an exponential is short of nothing at its start: 2 ** -10.
_LEAST = 2.0**-10


class Way(NamedTuple):
    """N moments between two keys: share (N,) of the time; frames and values from key to key;
    back, amplitude, period of the first key. All (N,)."""

    share: Floats
    length: Floats
    change: Floats
    back: Floats
    amplitude: Floats
    period: Floats


def eased(kind: str, easing: str, way: Way) -> Floats:
    """(N,) how much of the change is done, in values; raises KeyError for no kind of `KINDS`."""
    if easing not in ("EASE_IN", "EASE_OUT", "EASE_IN_OUT"):
        easing = "EASE_OUT" if kind in EASED_OUT else "EASE_IN"
    if kind == "ELASTIC":
        return _elastic(easing, way)
    start = _STARTS[kind]
    if easing == "EASE_IN":
        return way.change * start(way.share, way.back)
    if easing == "EASE_OUT":
        return way.change * (1.0 - start(1.0 - way.share, way.back))
    back = way.back * _BACK_BOTH
    low = 0.5 * start(np.minimum(2.0 * way.share, 1.0), back)
    high = 1.0 - 0.5 * start(np.minimum(2.0 - 2.0 * way.share, 1.0), back)
    return way.change * np.where(way.share < 0.5, low, high)


def _power(exponent: int) -> Callable[[Floats, Floats], Floats]:
    return lambda share, _back: np.asarray(share**exponent)


def _back_in(share: Floats, back: Floats) -> Floats:
    return np.asarray(share**2 * ((back + 1.0) * share - back))


def _circ_in(share: Floats, _back: Floats) -> Floats:
    return np.asarray(1.0 - np.sqrt(np.maximum(1.0 - share**2, 0.0)))


def _expo_in(share: Floats, _back: Floats) -> Floats:
    return np.asarray((2.0 ** (10.0 * (share - 1.0)) - _LEAST) / (1.0 - _LEAST))


def _sine_in(share: Floats, _back: Floats) -> Floats:
    return np.asarray(1.0 - np.cos(0.5 * np.pi * share))


def _bounce_in(share: Floats, _back: Floats) -> Floats:
    """Four parabolas, the last one half of the longest; told backwards."""
    left = (1.0 - share) * 2.75
    middles, heights = np.array([0.0, 1.5, 2.25, 2.625]), np.array([0.0, 0.75, 0.9375, 0.984375])
    which = np.searchsorted([1.0, 2.0, 2.5], left, side="right")
    return np.asarray(1.0 - ((left - middles[which]) ** 2 + heights[which]))


_STARTS: Mapping[str, Callable[[Floats, Floats], Floats]] = {
    "BACK": _back_in,
    "BOUNCE": _bounce_in,
    "CIRC": _circ_in,
    "CUBIC": _power(3),
    "EXPO": _expo_in,
    "QUAD": _power(2),
    "QUART": _power(4),
    "QUINT": _power(5),
    "SINE": _sine_in,
}


def _elastic(easing: str, way: Way) -> Floats:
    """A sine that grows or dies away; in both ways it grows to the middle and dies away after."""
    both = easing == "EASE_IN_OUT"
    # How far it is to the moment, or from it, at which the sine is largest.
    apart = 2.0 * way.share - 1.0 if both else way.share - float(easing == "EASE_IN")
    rises = apart < 0.0 if both else np.full(apart.shape, easing == "EASE_IN")
    period = np.where(way.period == 0.0, way.length * (0.45 if both else 0.3), way.period)
    apart = np.abs(apart)
    swing, lag = _swing(apart * way.length, period, way)
    wave = swing * 2.0 ** (-10.0 * apart)
    wave *= np.sin((-apart * way.length - lag) * 2.0 * np.pi / period) * (0.5 if both else 1.0)
    done = np.where(rises, -wave, way.change + wave)
    return np.where(way.share <= 0.0, 0.0, np.where(way.share >= 1.0, way.change, done))


def _swing(apart: Floats, period: Floats, way: Way) -> tuple[Floats, Floats]:
    """How far the sine swings, in values, and by how many frames it lags.

    One that swings less than the way is long grows to it near its largest moment.
    """
    small = (way.amplitude == 0.0) | (way.amplitude < np.abs(way.change))
    steep = np.clip(way.change / np.where(small, 1.0, way.amplitude), -1.0, 1.0)
    lag = np.where(small, 0.25 * period, period / (2.0 * np.pi) * np.arcsin(steep))
    near = np.minimum(apart / np.where(lag == 0.0, 1.0, np.abs(lag)), 1.0)
    blended = np.sign(way.change) * way.amplitude * near + way.change * (1.0 - near)
    return np.where(small, blended, way.amplitude), lag
