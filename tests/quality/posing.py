# SPDX-License-Identifier: GPL-3.0-or-later
"""From a captured motion to the puppet's channels, and from channels to a clip."""

from types import MappingProxyType

import numpy as np

from analysis import Clip, Meta
from analysis import quaternions as quat
from analysis.curves import Curve
from demo_scenes.captured.motions import CapturedMotion

from .key_data import controlled
from .legs import leg_turn, swivel_of
from .puppet import SIDES, Floats, Puppet, Tracks, puppet_of

_TURNING = ("chest", "neck", *(f"{part}.{s}" for s in SIDES for part in ("upper_arm", "hand")))
_LEFT = np.array([1.0, 0.0, 0.0])
_PARTS = {"root": "hips", "pelvis": "hips"}


def tracks_of(motion: CapturedMotion) -> Tracks:
    """The channels that make the puppet do a captured motion."""
    puppet = puppet_of(motion)
    rest = np.broadcast_to(motion.rest_rotations, motion.rotations.shape)
    turns = quat.multiply(motion.rotations, quat.conjugate(rest))
    since = {joint: turns[:, j] for j, joint in enumerate(motion.joints)}
    tracks = {"hips.place": motion.positions[:, 0], "hips.turn": since["hips"]}
    for j, joint in enumerate(motion.joints[1:], start=1):
        own = quat.multiply(quat.conjugate(turns[:, motion.parents[j]]), turns[:, j])
        if joint in _TURNING:
            tracks[f"{joint}.turn"] = own
        elif joint.startswith("forearm"):
            tracks[f"{joint}.bend"] = 2.0 * np.arctan2(own[:, 1:2], own[:, :1])
    for side in SIDES:
        foot = motion.positions[:, motion.joint(f"foot.{side}")]
        tracks[f"foot.{side}.place"] = foot + quat.rotate(since[f"foot.{side}"], puppet.ball(side))
        tracks[f"foot.{side}.turn"] = since[f"foot.{side}"]
        hip = motion.positions[:, motion.joint(f"thigh.{side}")]
        tracks[f"knee.{side}.swivel"] = swivel_of(since["hips"], since[f"thigh.{side}"], foot - hip)
    return {name: _unbroken(name, values) for name, values in tracks.items()}


def mirrored(tracks: Tracks) -> Tracks:
    """The motion with left and right exchanged."""
    swap = {"L": "R", "R": "L"}
    found = {}
    for name, values in tracks.items():
        part, *side, channel = name.split(".")
        there = ".".join([part, *(swap[s] for s in side), channel])
        sign = {"place": [-1, 1, 1], "turn": [1, 1, -1, -1], "bend": [1], "swivel": [-1]}[channel]
        found[there] = values * np.array(sign, dtype=np.float64)
    return found


def clip_of(
    puppet: Puppet,
    tracks: Tracks,
    fps: float,
    *,
    name: str,
    cycle: bool | None = None,
    curves: tuple[Curve, ...] = (),
) -> Clip:
    """The puppet posed by its channels, on frames 1..T, with a floor at z = 0."""
    count = len(tracks["hips.place"])
    places = np.zeros((count, len(puppet.joints), 3))
    since = np.zeros((count, len(puppet.joints), 4))
    for j, joint in enumerate(puppet.joints):
        if joint == "hips":
            places[:, j], since[:, j] = tracks["hips.place"], quat.normalise(tracks["hips.turn"])
            continue
        above = puppet.parents[j]
        places[:, j] = places[:, above] + quat.rotate(since[:, above], puppet.offset(joint))
        if joint[:-2] in ("thigh", "shin", "foot"):
            since[:, j] = leg_turn(puppet, tracks, joint)
        else:
            since[:, j] = quat.multiply(since[:, above], _own_turn(tracks, joint, count))
    rest = np.broadcast_to(puppet.rest_rotations, since.shape)
    made = Clip(
        frames=np.arange(1, count + 1, dtype=np.float64),
        fps=fps,
        joints=puppet.joints,
        parents=np.array(puppet.parents),
        positions=places,
        rotations=quat.continuous(quat.normalise(quat.multiply(since, rest))),
        rest_positions=puppet.rest_positions,
        rest_rotations=puppet.rest_rotations,
        lengths=puppet.lengths,
        points=puppet.points,
        point_joint=np.array(puppet.point_joint),
        point_offset=puppet.point_offset,
        meta=Meta(
            name=name,
            roles=_roles(puppet),
            floor_z=0.0,
            height_m=puppet.height_m,
            cycle=cycle,
            curves=curves,
        ),
    )
    return controlled(made, puppet, tracks) if curves else made


def _roles(puppet: Puppet) -> MappingProxyType[str, tuple[str, ...]]:
    named = {joint: (joint,) for joint in puppet.joints if joint != "hips"}
    return MappingProxyType({part: (joint,) for part, joint in _PARTS.items()} | named)


def _own_turn(tracks: Tracks, joint: str, count: int) -> Floats:
    if f"{joint}.bend" in tracks:
        half = 0.5 * tracks[f"{joint}.bend"]
        return np.concatenate((np.cos(half), np.sin(half) * _LEFT), axis=-1)
    still = np.tile([1.0, 0.0, 0.0, 0.0], (count, 1))
    return quat.normalise(tracks.get(f"{joint}.turn", still))


def _unbroken(name: str, values: Floats) -> Floats:
    """Channels without jumps that mean nothing: quaternions' signs, angles' whole turns."""
    if name.endswith("turn"):
        return quat.continuous(quat.normalise(values))
    if name.endswith(("bend", "swivel")):
        return np.unwrap(values, axis=0)
    return values
