# SPDX-License-Identifier: GPL-3.0-or-later
"""Poses written by hand for the puppet, and the splines through them.

A pose is told against the figure at rest, standing on z = 0 and looking along -Y (left is +X):

hips.place, foot.S.place   metres from where they are at rest, for a figure 1.62 m tall
X.turn                     degrees (forward, to its left, turned to its left), in this order about
                           the figure's own axes; an arm that hangs swings back where a trunk
                           would lean forward
forearm.S.bend             degrees
knee.S.swivel              degrees outwards
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from types import MappingProxyType

import numpy as np

from analysis import Clip
from analysis import quaternions as quat

from .captured import motions
from .key_data import curves_of
from .keyed import sized
from .keying import STRAIGHTEST, Keyed, within_reach
from .plan import runs
from .plants import Stands
from .posing import clip_of
from .puppet import SIDES, Floats, Puppet, puppet_of
from .splines import LEVEL, Spline, spline

Pose = Mapping[str, Sequence[float]]
# A stance that nobody would mind: weight over slightly bent knees, arms off the body.
STANCE: Pose = {
    "hips.place": (0.0, 0.0, -0.03),
    "hips.turn": (2.0, 0.0, 0.0),
    "chest.turn": (3.0, 0.0, 0.0),
    "neck.turn": (-3.0, 0.0, 0.0),
    "upper_arm.L.turn": (4.0, -9.0, 0.0),
    "upper_arm.R.turn": (4.0, 9.0, 0.0),
    "forearm.L.bend": (18.0,),
    "forearm.R.bend": (18.0,),
    "hand.L.turn": (6.0, 0.0, 0.0),
    "hand.R.turn": (6.0, 0.0, 0.0),
    "foot.L.place": (0.05, -0.04, 0.0),
    "foot.R.place": (-0.05, 0.06, 0.0),
    "foot.L.turn": (0.0, 0.0, 12.0),
    "foot.R.turn": (0.0, 0.0, -14.0),
    "knee.L.swivel": (0.0,),
    "knee.R.swivel": (0.0,),
}
CHANNELS = tuple(STANCE)


@cache
def puppet() -> Puppet:
    """The captured figure."""
    return puppet_of(motions()[0])


def channel_values(name: str, told: Sequence[float]) -> Floats:
    """A channel's values as the puppet wants them: metres, quaternions, radians."""
    values = np.asarray(told, dtype=np.float64)
    part, *side, channel = name.split(".")
    if channel == "turn":
        return turned(*values)
    if channel == "place":
        at_rest = puppet().rest_positions[0] if part == "hips" else _ball_at_rest(side[0])
        return at_rest + values
    radians = np.radians(values)
    # Elbows bend the other way about their axis; knees swivel outwards on either side.
    sign = -1.0 if channel == "bend" or side == ["R"] else 1.0
    return sign * radians


def _ball_at_rest(side: str) -> Floats:
    at = puppet().joints.index(f"foot.{side}")
    return puppet().rest_positions[at] + puppet().ball(side)


def turned(lean: float, tilt: float, turn: float) -> Floats:
    """(4,) degrees of lean, then tilt, then turn about fixed axes."""
    half = 0.5 * np.radians([lean, tilt, turn])
    x = np.array([np.cos(half[0]), np.sin(half[0]), 0.0, 0.0])
    y = np.array([np.cos(half[1]), 0.0, np.sin(half[1]), 0.0])
    z = np.array([np.cos(half[2]), 0.0, 0.0, np.sin(half[2])])
    return quat.multiply(quat.multiply(z, y), x)


def key_poses(
    poses: Mapping[int, Pose],
    *,
    late: Mapping[str, int] = MappingProxyType({}),
    handles: str = "clamped",
    fast: Sequence[int] = (),
    straightest: float = STRAIGHTEST,
) -> Keyed:
    """Splines through poses by frame; the first frame is 0 and the last one ends the range.

    A pose keys the channels that it tells; the first pose is filled up from STANCE, and what
    the last leaves out stays as it was keyed before.
    late      part -> frames by which its keys come after their pose; none at the range's ends
    fast      frames of poses that are reached at full speed: handles before them are vectors
    """
    last = max(poses)
    splines = {}
    for name in CHANNELS:
        told = {frame: pose[name] for frame, pose in poses.items() if name in pose}
        told.setdefault(0, STANCE[name])
        told.setdefault(last, told[max(told)])
        shift = late.get(name.split(".")[0], 0)
        frames = [f if f in (0, last) else min(f + shift, last - 1) for f in sorted(told)]
        kind = "clamped" if name.startswith("foot") else handles
        curve = spline(np.array(frames), key_values(name, told), kind)
        splines[name] = arriving_fast(curve, [f + shift for f in fast])
    return reaching(Keyed(splines, last + 1), straightest)


def key_values(name: str, told: Mapping[int, Sequence[float]]) -> Floats:
    """(K,C) a channel's values on its frames in order, quaternions without jumps of sign."""
    values = np.array([channel_values(name, told[frame]) for frame in sorted(told)])
    return quat.continuous(values) if name.endswith("turn") else values


def reaching(keyed: Keyed, straightest: float = STRAIGHTEST) -> Keyed:
    """The keys with the hips low enough for the feet that stand."""
    stands = {side: standing(keyed.splines[f"foot.{side}.place"]) for side in SIDES}
    return within_reach(puppet(), keyed, stands, straightest)


def arriving_fast(curve: Spline, frames: Sequence[int]) -> Spline:
    """The curve with a vector handle before each key on one of the frames."""
    slopes = curve.slopes_in.copy()
    for at in range(1, len(curve.frames)):
        if int(curve.frames[at]) in frames:
            gap = curve.frames[at] - curve.frames[at - 1]
            slopes[at] = (curve.values[at] - curve.values[at - 1]) / gap
    return replace(curve, slopes_in=slopes)


def standing(curve: Spline) -> Stands:
    """Where a foot's keys are equal it stands."""
    still = np.abs(np.diff(curve.values, axis=0)).max(axis=1) < LEVEL
    spans = [(int(curve.frames[a]), int(curve.frames[b + 1])) for a, b in runs(still)]
    return Stands(ball=spans, flat=spans)


def clip(keyed: Keyed, fps: float, name: str, *, size: float = 1.0, keys: bool = False) -> Clip:
    """The figure, `size` times as tall, doing what is keyed; with its keys where asked."""
    splines = {channel: sized(channel, curve, size) for channel, curve in keyed.splines.items()}
    figure = puppet().scaled(size)
    return clip_of(
        figure,
        replace(keyed, splines=splines).tracks,
        fps,
        name=name,
        curves=curves_of(figure, splines) if keys else (),
    )
