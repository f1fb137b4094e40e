# SPDX-License-Identifier: GPL-3.0-or-later
"""Rounds without a seam by construction: sums of sines, and motion swung there and back."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from .cycle_round import Round, in_place, travel_of
from .figure import Channels, channels_of

Floats = NDArray[np.float64]

# Radians of the first harmonic, by part; each further one is smaller by its number squared.
_SWINGS = {"thigh": 0.4, "shin": 0.4, "foot": 0.2, "upper_arm": 0.5, "forearm": 0.4, "hand": 0.3}
_TRUNK_SWING, _BOB_M, _HARMONICS = 0.1, 0.03, 3


def wave_round(form: Clip, length: int, rng: np.random.Generator) -> Round:
    """Every joint of the resting figure swings as three sines about an axis of its own."""
    rest = _resting(form)
    turns = np.tile(channels_of(rest).turns[:1], (length, 1, 1))
    places = np.tile(channels_of(rest).places[:1], (length, 1, 1))
    for joint, name in enumerate(form.joints):
        swing = _SWINGS.get(name.partition(".")[0], _TRUNK_SWING)
        axis = rng.normal(size=3)
        angle = swing * _sines(length, rng)
        about = axis / np.linalg.norm(axis) * np.sin(angle / 2.0)[:, None]
        turn = np.concatenate((np.cos(angle / 2.0)[:, None], about), axis=-1)
        turns[:, joint] = quat.multiply(turns[:, joint], turn)
    root = int(np.flatnonzero(form.parents < 0)[0])
    places[:, root] += _BOB_M * np.stack([_sines(length, rng) for _axis in range(3)], axis=-1)
    return Round(form, Channels(places, quat.continuous(turns)), 0.0, (0.0, -1.2))


def swung_round(clip: Clip, first: float, last: float, length: int) -> Round:
    """The motion from one sample to another and back again, as a sine leads through it."""
    middle, reach = 0.5 * (first + last), 0.5 * (last - first)
    at = middle - reach * np.cos(2.0 * np.pi * np.arange(length) / length)
    # Between samples the clip is read as a round that is never played over its ends.
    plain = Round(clip, channels_of(clip)).played(at)
    channels = channels_of(plain)
    root = int(np.flatnonzero(clip.parents < 0)[0])
    centre = channels.places[:, root, :2].mean(axis=0)
    channels.places[:, root, :2] -= centre
    form = replace(clip, meta=plain.meta)
    return Round(form, in_place(channels, root, 0.0, travel_of(0.0, np.zeros(2))))


def _sines(length: int, rng: np.random.Generator) -> Floats:
    phase = 2.0 * np.pi * np.arange(length) / length
    waves = [
        np.sin(k * phase + rng.uniform(0.0, 2.0 * np.pi)) / k**2 for k in range(1, _HARMONICS + 1)
    ]
    return np.asarray(np.sum(waves, axis=0))


def _resting(form: Clip) -> Clip:
    assert form.rest_positions is not None
    assert form.rest_rotations is not None
    return replace(
        form,
        frames=np.arange(1.0, 3.0),
        positions=np.tile(form.rest_positions, (2, 1, 1)),
        rotations=np.tile(form.rest_rotations, (2, 1, 1)),
    )
