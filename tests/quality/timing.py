# SPDX-License-Identifier: GPL-3.0-or-later
"""A clip, or one part of it, shown at other times: held, slowed, run backwards.

A part is retimed in a space: `world` (its head and its turn follow their own track in the
world, as a hand or foot on IK does), `turn` (its turn alone does), or `parent` (its chain's
local channels are shown at other times, as keys of an FK limb are).
"""

from dataclasses import replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from analysis import Clip
from analysis import quaternions as quat

from .figure import Channels, channels_of, posed, rebuild
from .moves import Target, reach, target

Floats = NDArray[np.float64]

# The joints whose channels make a part's own motion, against what carries them all.
CHAINS = {
    "hand": ("upper_arm", "forearm", "hand"),
    "foot": ("thigh", "shin", "foot"),
    "head": ("neck", "head"),
}


def sampled(clip: Clip, at: Floats) -> Clip:
    """The whole clip at fractional samples (N,), on frames that count on from its first."""
    channels = channels_of(clip)
    count = len(at)
    step = clip.frames[1] - clip.frames[0]
    shape = {name: getattr(clip, name) for name in ("camera_pose", "camera_projection")}
    nearest = np.clip(np.rint(at).astype(int), 0, len(clip.frames) - 1)
    blank = replace(
        without_curves(clip),
        frames=clip.frames[0] + step * np.arange(count),
        positions=np.zeros((count, *clip.positions.shape[1:])),
        rotations=np.tile([1.0, 0.0, 0.0, 0.0], (count, len(clip.joints), 1)),
        valid=None,
        camera_cut=None,
        supports=None if clip.supports is None else clip.supports[:, nearest],
        ground_velocity=None if clip.ground_velocity is None else clip.ground_velocity[nearest],
        meta=replace(clip.meta, cycle=None, loop_end=None),
        **{name: None if value is None else value[nearest] for name, value in shape.items()},
    )
    return posed(blank, _at(channels, at))


def held(clip: Clip, part: Target, at: Floats, space: str, share: Floats | None = None) -> Clip:
    """The clip with one part at samples `at` (T,) of its own motion, all else as it was.

    share (T,), 0 to 1: how much of that is shown; the rest is the part's motion as it was.
    """
    share = np.ones(len(at)) if share is None else share
    if space == "parent":
        return _held_channels(clip, part, at, share)
    goal = _cubic(clip.positions[:, part.joint], at)
    turn = quat.normalise(_cubic(quat.continuous(clip.rotations[:, part.joint]), at))
    shift = share[:, None] * (goal - clip.positions[:, part.joint])
    if space == "turn":
        shift[:] = 0.0
    return steered(clip, part, shift, blend(clip.rotations[:, part.joint], turn, share))


def steered(clip: Clip, part: Target, shift: Floats, turn: Floats | None) -> Clip:
    """A part shifted by (T,3), its limb following, and turned to world rotations (T,4)."""
    if part.part.partition(".")[0] in ("hand", "foot"):
        moved = reach(clip, part, shift) if shift.any() else clip
    else:
        moved = rebuild(clip, part.joint, shift=shift)
    if turn is None:
        return moved
    extra = quat.multiply(turn, quat.conjugate(moved.rotations[:, part.joint]))
    extra[np.linalg.norm(extra[:, 1:], axis=1) < 1e-9] = [1.0, 0.0, 0.0, 0.0]
    return rebuild(moved, part.joint, turn=extra)


def chain_of(clip: Clip, part: Target) -> list[int]:
    """The joints of a part's own motion, those that the clip has."""
    kind, _, side = part.part.partition(".")
    names = [f"{name}.{side}" if side in ("L", "R") else name for name in CHAINS.get(kind, ())]
    found = [each.joint for name in names if (each := target(clip, name)) is not None]
    return found or [part.joint]


def blend(a: Floats, b: Floats, share: Floats) -> Floats:
    """Rotations (T,4) the share (T,) of the way from a to b, the short way (slerp)."""
    b = np.where(np.sum(a * b, axis=-1, keepdims=True) < 0.0, -b, b)
    angle = np.arccos(np.clip(np.sum(a * b, axis=-1), -1.0, 1.0))
    near = angle < 1e-6
    sine = np.where(near, 1.0, np.sin(angle))
    first = np.where(near, 1.0 - share, np.sin((1.0 - share) * angle) / sine)
    second = np.where(near, share, np.sin(share * angle) / sine)
    return quat.normalise(first[:, None] * a + second[:, None] * b)


def smooth_step(u: Floats) -> Floats:
    """0 to 1 with no speed and no acceleration at either end (minimum jerk), held outside."""
    u = np.clip(u, 0.0, 1.0)
    return u**3 * (10.0 - 15.0 * u + 6.0 * u * u)


def backwards(clip: Clip) -> Clip:
    """The figure's motion played backwards on the same frames."""
    return replace(
        without_curves(clip),
        positions=clip.positions[::-1],
        rotations=clip.rotations[::-1],
        valid=None if clip.valid is None else clip.valid[::-1],
    )


def without_curves(clip: Clip) -> Clip:
    """The clip without its controls' keys and channels, which do not know of the fault."""
    meta = replace(clip.meta, curves=(), controls=(), targets=MappingProxyType({}))
    return replace(clip, channels=(), channel_values=None, control_matrices=None, meta=meta)


def _held_channels(clip: Clip, part: Target, at: Floats, share: Floats) -> Clip:
    own, then = channels_of(clip), _at(channels_of(clip), at)
    places, turns = own.places.copy(), own.turns.copy()
    for joint in chain_of(clip, part):
        gap = then.places[:, joint] - places[:, joint]
        places[:, joint] += share[:, None] * gap
        turns[:, joint] = blend(turns[:, joint], then.turns[:, joint], share)
    return posed(clip, Channels(places, turns))


def _at(channels: Channels, at: Floats) -> Channels:
    return Channels(_cubic(channels.places, at), quat.normalise(_cubic(channels.turns, at)))


def _cubic(values: Floats, at: Floats) -> Floats:
    """Values (T,...) at fractional samples (N,): a cubic through all, with central slopes."""
    at = np.clip(at, 0.0, len(values) - 1.0)
    whole = np.rint(at)
    if np.abs(at - whole).max(initial=0.0) < 1e-9:
        return values[whole.astype(int)]
    slopes = np.gradient(values, axis=0)
    before = np.minimum(at.astype(int), len(values) - 2)
    u = (at - before).reshape(-1, *([1] * (values.ndim - 1)))
    rise = u * u * (3.0 - 2.0 * u)
    straight = values[before] + rise * (values[before + 1] - values[before])
    bends = u * (1.0 - u) ** 2 * slopes[before] - u * u * (1.0 - u) * slopes[before + 1]
    return straight + bends
