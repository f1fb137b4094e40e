# SPDX-License-Identifier: GPL-3.0-or-later
"""Walks and runs keyed as cycles: contact, down, passing, up, on feet that are planted."""

from dataclasses import replace

import numpy as np

from analysis import Clip
from analysis import quaternions as quat

from .authored import arriving_fast, key_values, puppet
from .figure import add_joint
from .keyed import sized
from .keying import STRAIGHTEST, Keyed, within_reach
from .plants import Stands
from .posing import clip_of
from .puppet import Floats, Tracks
from .splines import spline
from .stride_keys import Gait, flat_after, landings, off_after, told_of

# Bending a straight way into a circle sets the outer foot further off.
BENT_REACH = 0.97


def key_gait(gait: Gait) -> Keyed:
    """The gait's cyclic splines, going straight on along -Y from where the left foot lands."""
    splines = {
        name: spline(np.array(list(keys)), key_values(name, keys), cyclic=True)
        for name, keys in told_of(gait).items()
    }
    reach = BENT_REACH if gait.turn_deg else STRAIGHTEST
    stands = {side: _stands(gait, side) for side in "LR"}
    keyed = within_reach(puppet(), Keyed(splines, gait.length), stands, reach)
    return _crisp(gait, keyed) if gait.crisp else keyed


def _stands(gait: Gait, side: str) -> Stands:
    """From the landing of the heel to the leaving of the toes, in every stride."""
    off = off_after(gait)
    spans = [(max(at, 0), min(at + off, gait.length)) for at in landings(gait, side)]
    spans = [(first, last) for first, last in spans if first <= last]
    return Stands(ball=spans, flat=spans)


def _crisp(gait: Gait, keyed: Keyed) -> Keyed:
    """Vector handles before each landing, when the heel comes down and when the sole does."""
    splines, flat = dict(keyed.splines), flat_after(gait)
    for side in "LR":
        frames = [at + late for at in landings(gait, side) for late in (0, flat)]
        for name in (f"foot.{side}.place", f"foot.{side}.turn"):
            splines[name] = arriving_fast(splines[name], frames)
    return replace(keyed, splines=splines)


def gait_clip(
    gait: Gait,
    fps: float,
    name: str,
    *,
    size: float = 1.0,
    mover: bool = False,
    cycle: bool | None = True,
    rounds: int = 1,
) -> Clip:
    """Rounds of the gait; on request on a mover that goes evenly."""
    keyed = key_gait(gait)
    at = np.arange(gait.start, gait.start + gait.length * rounds)
    splines = {key: sized(key, curve, size) for key, curve in keyed.splines.items()}
    tracks = {key: curve.at(at) for key, curve in splines.items()}
    stride = size * gait.stride_m
    even = np.stack((0.0 * at, -stride * at / gait.frames, 0.0 * at), axis=-1)
    facing = np.tile([1.0, 0.0, 0.0, 0.0], (len(at), 1))
    if gait.turn_deg:
        tracks = _around(tracks, stride / np.radians(gait.turn_deg))
        even, facing = _bent(even, facing, stride / np.radians(gait.turn_deg))
    if gait.in_place:
        tracks = {k: v - even if k.endswith("place") else v for k, v in tracks.items()}
        even = 0.0 * even
    clip = clip_of(puppet().scaled(size), tracks, fps, name=name, cycle=cycle)
    return _with_mover(clip, even, facing) if mover else clip


def _around(tracks: Tracks, radius: float) -> Tracks:
    """A straight way bent into a circle to the left: each place by how far along it is."""
    bent = dict(tracks)
    for part in ("hips", "foot.L", "foot.R"):
        place, turn = _bent(tracks[f"{part}.place"], tracks[f"{part}.turn"], radius)
        bent[f"{part}.place"], bent[f"{part}.turn"] = place, turn
    return bent


def _bent(place: Floats, turn: Floats, radius: float) -> tuple[Floats, Floats]:
    angle = -place[:, 1] / radius
    away = radius - place[:, 0]
    bent = np.stack((radius - away * np.cos(angle), -away * np.sin(angle), place[:, 2]), axis=-1)
    half, zero = 0.5 * angle, 0.0 * angle
    about = np.stack((np.cos(half), zero, zero, np.sin(half)), axis=-1)
    return bent, quat.multiply(about, turn)


def _with_mover(clip: Clip, place: Floats, turn: Floats) -> Clip:
    """The clip with its hips on a mover, as game rigs have one."""
    count = len(clip.joints)
    clip = add_joint(clip, "mover", parent=None, place=place, turn=turn)
    parents = clip.parents.copy()
    parents[clip.joint("hips")] = count
    roles = {**clip.meta.roles, "mover": ("mover",)}
    return replace(clip, parents=parents, meta=replace(clip.meta, roles=roles))
