# SPDX-License-Identifier: GPL-3.0-or-later
"""Rounds of a walk and of a run, made whole from half a stride and its mirror image.

PyPI pybullet's `walk` and `run` are half a stride that was captured, and its mirror image; where
the two meet nearly every joint steps. Here the half is mirrored again and the two steps are
taken out: near them the motion is its own lowest harmonics, away from them it is as captured.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from .cycle_round import Round
from .figure import Channels, channels_of

Floats = NDArray[np.float64]

# Harmonics of a stride that are kept where the halves meet: 4 to 5 a second, as of body motion.
HARMONICS_PER_S = 4.7
# Seconds on either side of a joint over which the captured detail comes back.
DETAIL_S = 0.17
_MIRROR_TURN = np.array([1.0, 1.0, -1.0, -1.0])  # of a rotation, in the plane x = 0


def stride_round(half: Clip) -> Round:
    """A whole stride from the clip of one half; the step after its last sample is a usual one."""
    count = len(half.frames)
    root = int(np.flatnonzero(half.parents < 0)[0])
    path = half.positions[:, root, :2]
    step = (path[-1] - path[0]) * count / (count - 1)
    heading = float(np.arctan2(step[1], step[0])) + np.pi / 2.0  # the figure walks along -Y
    about = np.array([np.cos(heading / 2.0), 0.0, 0.0, -np.sin(heading / 2.0)])
    away = np.outer(np.arange(count) / count, [*step, 0.0])[:, None]
    places = quat.rotate(about, half.positions - away)
    places[..., 0] -= 0.5 * (places[0, root, 0] + places[-1, root, 0])
    places[..., 1] -= places[:, root, 1].mean()
    turns = quat.multiply(about, half.rotations)
    first = replace(half, positions=places, rotations=quat.continuous(turns))
    whole = [channels_of(first), channels_of(_mirrored(first))]
    ring = Channels(
        np.concatenate([each.places for each in whole]),
        quat.continuous(np.concatenate([each.turns for each in whole])),
    )
    smooth = Channels(*(_without_steps(v, half.dt_s) for v in vars(ring).values()))
    closed = Channels(smooth.places, quat.continuous(quat.normalise(smooth.turns)))
    return Round(half, closed, 0.0, (0.0, -2.0 * float(np.linalg.norm(step))))


def _mirrored(clip: Clip) -> Clip:
    """The clip in the mirror plane x = 0, left for right."""
    other = {"L": "R", "R": "L"}
    swap = [
        clip.joints.index(f"{name[:-1]}{other[name[-1]]}") if name[-2:] in (".L", ".R") else n
        for n, name in enumerate(clip.joints)
    ]
    assert clip.rest_rotations is not None
    since_rest = quat.multiply(clip.rotations, quat.conjugate(clip.rest_rotations))
    turns = quat.multiply(since_rest[:, swap] * _MIRROR_TURN, clip.rest_rotations)
    places = clip.positions[:, swap] * np.array([-1.0, 1.0, 1.0])
    return replace(clip, positions=places, rotations=quat.continuous(turns))


def _without_steps(ring: Floats, dt_s: float) -> Floats:
    """A ring (2N, ...) of two halves without the steps where they meet."""
    count = len(ring)
    keep = round(HARMONICS_PER_S * count * dt_s)
    spectrum = np.fft.rfft(ring, axis=0)
    spectrum[keep + 1 :] = 0.0
    low = np.fft.irfft(spectrum, n=count, axis=0)
    place = np.arange(count) % (count // 2)
    from_joint = np.minimum(place + 0.5, count // 2 - place - 0.5) * dt_s
    u = np.clip((from_joint - 0.5 * dt_s) / DETAIL_S, 0.0, 1.0)
    detail = u**3 * (10.0 - 15.0 * u + 6.0 * u**2)
    return low + detail.reshape(-1, *([1] * (ring.ndim - 1))) * (ring - low)
