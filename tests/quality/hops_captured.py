# SPDX-License-Identifier: GPL-3.0-or-later
"""A captured flight played there and back again: a free path is one in either direction of time.

Where it turns back it slows down to a stand and speeds up again. Every flight may have a height of
its own: r times as long it is r * r times as high and far, and what leads to it and away from it
is played r times as fast, so that nothing breaks.
"""

from dataclasses import dataclass, replace

import numpy as np

from analysis import Clip, Settings
from analysis import quaternions as quat
from analysis.basis import build_basis
from demo_scenes.captured.clip import to_clip
from demo_scenes.captured.motions import CapturedMotion

from .captured import motions
from .figure import Channels, channels_of, posed, rebuild
from .hop_path import Floats
from .moves import target
from .timing import sampled

# Flights of one clip differ in time by this share either way.
TIMES = (0.9, 1.12)
SIZES = (0.8, 1.3)
# Seconds over which it slows down before it turns back, and speeds up after.
TURN_S = 0.2
# Samples of the source between two knots of the path through it.
FINE = 0.05
# Standard deviations of a capture's noise: metres of the hips, degrees of every joint.
NOISE_M, NOISE_DEG = 0.0015, 0.15


@dataclass(frozen=True, eq=False)
class _Played:
    """The source (K knots) as it is played: time (K,) s, at (K,) samples, shift (K,3) metres."""

    time: Floats
    at: Floats
    shift: Floats


def there_and_back(source: str, rng: np.random.Generator, fps: float, *, varied: bool) -> Clip:
    """Three to five flights of a captured clip, at a frame rate."""
    size = rng.uniform(*SIZES)
    motion = _sized(next(each for each in motions() if each.name == source), size)
    clip = to_clip(motion)
    way, bounds = _flight(clip)
    alike = rng.uniform(*TIMES)
    parts, done, shift = [], 0.0, np.zeros(3)
    count = int(rng.integers(3, 6))
    for n in range(count):
        times = rng.uniform(*TIMES) if varied else alike
        each = _once(way, bounds, times, motion.fps, back=n % 2 == 1, ends=(n > 0, n < count - 1))
        parts.append(_Played(each.time + done, each.at, each.shift + shift))
        done, shift = parts[-1].time[-1], parts[-1].shift[-1]
    return _shown(clip, parts, fps)


def _sized(motion: CapturedMotion, size: float) -> CapturedMotion:
    """A figure `size` times as tall, which takes sqrt(size) times as long (Froude's law)."""
    assert motion.point_offset is not None
    return replace(
        motion,
        fps=motion.fps / float(np.sqrt(size)),
        positions=motion.positions * size,
        rest_positions=motion.rest_positions * size,
        lengths=motion.lengths * size,
        point_offset=np.asarray(motion.point_offset) * size,
    )


def _flight(clip: Clip) -> tuple[Floats, tuple[float, float]]:
    """The centre of mass (T,3), and two samples in the air on which it is as high, far apart."""
    basis = build_basis(clip, Settings(cycle="no"))
    way = basis.com
    assert way is not None
    flight = max(basis.flights, key=lambda each: each.samples)
    first, last = flight.first, flight.last
    height = way[:, 2]
    top = first + int(np.argmax(height[first : last + 1]))
    level = max(height[first], height[last])
    up = np.interp(level, height[first : top + 1], np.arange(first, top + 1.0))
    down = np.interp(-level, -height[top : last + 1], np.arange(top, last + 1.0))
    return way, (float(up), float(down))


def _once(
    way: Floats,
    bounds: tuple[float, float],
    times: float,
    hz: float,
    *,
    back: bool,
    ends: tuple[bool, bool],
) -> _Played:
    """The source once, there or back; ends: whether it comes from, and goes on to, a turn."""
    last = len(way) - 1.0
    at = np.unique(np.concatenate((np.arange(0.0, last, FINE), bounds, [last])))
    inside = (at >= bounds[0]) & (at <= bounds[1])
    com = np.stack([np.interp(at, np.arange(len(way)), axis) for axis in way.T], axis=-1)
    if back:
        at, inside, com = at[::-1], inside[::-1], com[::-1]
    left = com[np.argmax(inside)]
    flown = (times**2 - 1.0) * (com - left)
    after = np.cumsum(inside) >= inside.sum()
    shift = np.where(inside[:, None], flown, np.where(after[:, None], flown[inside][-1], 0.0))
    shift[:, 2] *= inside
    rate = np.where(inside, 1.0 / times, times) * hz
    steps = np.abs(np.diff(at)) / (0.5 * (rate[1:] + rate[:-1]))
    time = np.concatenate(([0.0], np.cumsum(steps)))
    return _Played(_turning(time, ends), at, shift)


def _turning(time: Floats, ends: tuple[bool, bool]) -> Floats:
    """Times that grow towards an end at which it turns: it slows down evenly to a stand there.

    What took t seconds before a stand at an even speed takes 2 sqrt(t TURN_S) - TURN_S more.
    """
    found = time.copy()
    for end, left in zip(ends, (time, time[-1] - time), strict=True):
        if end:
            near = np.minimum(left, TURN_S)
            slowed = 2.0 * np.sqrt(near * TURN_S)
            found = found + (slowed - near) * (1.0 if left is time else -1.0)
    return found - found[0]


def _shown(clip: Clip, parts: list[_Played], fps: float) -> Clip:
    """The clip on the frames of a rate as it is played."""
    time, at, *shift = (
        np.concatenate(each)
        for each in (
            [part.time for part in parts],
            [part.at for part in parts],
            *([part.shift[:, axis] for part in parts] for axis in range(3)),
        )
    )
    frames = np.arange(int(time[-1] * fps)) / fps
    made = replace(sampled(clip, np.interp(frames, time, at)), fps=fps)
    moved = np.stack([np.interp(frames, time, axis) for axis in shift], axis=-1)
    hips = target(made, "root")
    assert hips is not None
    return rebuild(made, hips.joint, shift=moved)


def with_noise(clip: Clip, rng: np.random.Generator) -> Clip:
    """The clip with a little noise on every frame: where the hips are, how every joint turns."""
    own = channels_of(clip)
    shape = own.turns.shape[:2]
    turn = np.ones((*shape, 4))
    turn[..., 1:] = np.radians(NOISE_DEG) / 2.0 * rng.normal(size=(*shape, 3))
    places = own.places.copy()
    roots = [joint for joint, parent in enumerate(clip.parents) if parent < 0]
    places[:, roots] += NOISE_M * rng.normal(size=(shape[0], len(roots), 3))
    turned = quat.multiply(own.turns, quat.normalise(turn))
    return posed(clip, Channels(places, turned))
