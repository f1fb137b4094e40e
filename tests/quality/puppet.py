# SPDX-License-Identifier: GPL-3.0-or-later
"""The captured figure as an animator's rig: hips, chest, neck and arms turn, feet are steered.

Its controls' channels are plain arrays over T frames, by name:

hips.place (T,3)        metres in the world
hips.turn (T,4)         since rest, in the world's axes
chest.turn, neck.turn, upper_arm.S.turn, hand.S.turn (T,4)   against what carries them
forearm.S.bend (T,1)    radians about the elbow's axis
foot.S.place (T,3)      the ball of the foot, metres in the world
foot.S.turn (T,4)       since rest, in the world's axes
knee.S.swivel (T,1)     radians about the line from hip to ankle; 0: the knee points ahead
"""

from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from analysis import Clip, Meta
from analysis import quaternions as quat
from analysis.curves import Curve
from demo_scenes.captured.motions import CapturedMotion

Floats = NDArray[np.float64]
Tracks = dict[str, Floats]

SIDES = ("L", "R")
TURNING = ("chest", "neck", *(f"{part}.{s}" for s in SIDES for part in ("upper_arm", "hand")))
_AHEAD = np.array([0.0, -1.0, 0.0])
_DOWN = np.array([0.0, 0.0, -1.0])
_LEFT = np.array([1.0, 0.0, 0.0])
_PARTS = {"root": "hips", "pelvis": "hips"}


@dataclass(frozen=True, eq=False)
class Puppet:
    """The figure at rest: J joints, metres, looking along -Y, soles on z = 0 (as Clip has them)."""

    joints: tuple[str, ...]
    parents: tuple[int, ...]
    rest_positions: Floats
    rest_rotations: Floats
    lengths: Floats
    points: tuple[str, ...]
    point_joint: tuple[int, ...]
    point_offset: Floats

    @property
    def height_m(self) -> float:
        """From the floor to the top of the head."""
        head = self.joints.index("head")
        return float(self.rest_positions[head, 2] + self.lengths[head])

    def offset(self, joint: str) -> Floats:
        """(3,) from its parent's head to a joint's head at rest."""
        at = self.joints.index(joint)
        return self.rest_positions[at] - self.rest_positions[self.parents[at]]

    def ball(self, side: str) -> Floats:
        """(3,) from the ankle to the front end of the sole at rest."""
        at = self.points.index(f"toe.{side}")
        return quat.rotate(self.rest_rotations[self.point_joint[at]], self.point_offset[at])

    def scaled(self, size: float) -> "Puppet":
        """The same figure `size` times as tall."""
        return replace(
            self,
            rest_positions=self.rest_positions * size,
            lengths=self.lengths * size,
            point_offset=self.point_offset * size,
        )


def puppet_of(motion: CapturedMotion) -> Puppet:
    """The figure that a captured motion moves."""
    return Puppet(
        joints=motion.joints,
        parents=motion.parents,
        rest_positions=motion.rest_positions,
        rest_rotations=motion.rest_rotations,
        lengths=motion.lengths,
        points=motion.points,
        point_joint=motion.point_joint,
        point_offset=np.asarray(motion.point_offset),
    )


def tracks_of(motion: CapturedMotion) -> Tracks:
    """The channels that make the puppet do a captured motion."""
    puppet = puppet_of(motion)
    rest = np.broadcast_to(motion.rest_rotations, motion.rotations.shape)
    turns = quat.multiply(motion.rotations, quat.conjugate(rest))
    since = {joint: turns[:, j] for j, joint in enumerate(motion.joints)}
    tracks = {"hips.place": motion.positions[:, 0], "hips.turn": since["hips"]}
    for j, joint in enumerate(motion.joints[1:], start=1):
        own = quat.multiply(quat.conjugate(turns[:, motion.parents[j]]), turns[:, j])
        if joint in TURNING:
            tracks[f"{joint}.turn"] = own
        elif joint.startswith("forearm"):
            tracks[f"{joint}.bend"] = 2.0 * np.arctan2(own[:, 1:2], own[:, :1])
    for side in SIDES:
        foot = motion.positions[:, motion.joint(f"foot.{side}")]
        tracks[f"foot.{side}.place"] = foot + quat.rotate(since[f"foot.{side}"], puppet.ball(side))
        tracks[f"foot.{side}.turn"] = since[f"foot.{side}"]
        hip = motion.positions[:, motion.joint(f"thigh.{side}")]
        tracks[f"knee.{side}.swivel"] = _swivel(since["hips"], since[f"thigh.{side}"], foot - hip)
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


def ankle(puppet: Puppet, tracks: Tracks, side: str) -> Floats:
    """(T,3) where a foot's channels put its ankle."""
    turn = quat.normalise(tracks[f"foot.{side}.turn"])
    return tracks[f"foot.{side}.place"] - quat.rotate(turn, puppet.ball(side))


def hip(puppet: Puppet, tracks: Tracks, side: str) -> Floats:
    """(T,3) where the hips' channels put a leg's upper end."""
    turn = quat.normalise(tracks["hips.turn"])
    return tracks["hips.place"] + quat.rotate(turn, puppet.offset(f"thigh.{side}"))


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
            since[:, j] = _leg_turn(puppet, tracks, joint)
        else:
            since[:, j] = quat.multiply(since[:, above], _own_turn(tracks, joint, count))
    rest = np.broadcast_to(puppet.rest_rotations, since.shape)
    return Clip(
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


def _roles(puppet: Puppet) -> MappingProxyType[str, tuple[str, ...]]:
    named = {joint: (joint,) for joint in puppet.joints if joint != "hips"}
    return MappingProxyType({part: (joint,) for part, joint in _PARTS.items()} | named)


def _own_turn(tracks: Tracks, joint: str, count: int) -> Floats:
    if f"{joint}.bend" in tracks:
        half = 0.5 * tracks[f"{joint}.bend"]
        return np.concatenate((np.cos(half), np.sin(half) * _LEFT), axis=-1)
    still = np.tile([1.0, 0.0, 0.0, 0.0], (count, 1))
    return quat.normalise(tracks.get(f"{joint}.turn", still))


def _leg_turn(puppet: Puppet, tracks: Tracks, joint: str) -> Floats:
    """(T,4) turns since rest of a steered leg's joint; raises ValueError out of reach."""
    part, side = joint.split(".")
    if part == "foot":
        return quat.normalise(tracks[f"foot.{side}.turn"])
    way = ankle(puppet, tracks, side) - hip(puppet, tracks, side)
    reach = np.linalg.norm(way, axis=-1, keepdims=True)
    along = way / reach
    bent = _knee_way(tracks, side, along)
    upper, lower = leg_lengths(puppet, side)
    cosine = (upper**2 + reach**2 - lower**2) / (2.0 * upper * reach)
    if cosine.max() > 1.0:
        raise ValueError(
            f"the {side} leg does not reach its foot by {reach.max() - upper - lower:.3f} m"
        )
    knee = upper * (cosine * along + np.sqrt(1.0 - cosine**2) * bent)
    bone = knee if part == "thigh" else way - knee
    y = bone / np.linalg.norm(bone, axis=-1, keepdims=True)
    x = np.cross(along, -bent)
    turn = quat.from_axes(x, y, np.cross(x, y))
    rest = puppet.rest_rotations[puppet.joints.index(joint)]
    return quat.multiply(turn, np.broadcast_to(quat.conjugate(rest), turn.shape))


def leg_lengths(puppet: Puppet, side: str) -> tuple[float, float]:
    """Metres of thigh and shin."""
    upper, lower = (np.linalg.norm(puppet.offset(f"{part}.{side}")) for part in ("shin", "foot"))
    return float(upper), float(lower)


def _knee_way(tracks: Tracks, side: str, along: Floats) -> Floats:
    """(T,3) which way the knee is bent, square to the line from hip to ankle."""
    ahead = _ahead_of(quat.normalise(tracks["hips.turn"]), along)
    swivel = tracks[f"knee.{side}.swivel"]
    return np.cos(swivel) * ahead + np.sin(swivel) * np.cross(along, ahead)


def _swivel(hips: Floats, thigh: Floats, way: Floats) -> Floats:
    along = way / np.linalg.norm(way, axis=-1, keepdims=True)
    bent = np.cross(along, quat.rotate(thigh, _LEFT))
    ahead = _ahead_of(hips, along)
    aside = np.cross(along, ahead)
    return np.arctan2(
        np.sum(bent * aside, -1, keepdims=True), np.sum(bent * ahead, -1, keepdims=True)
    )


def _ahead_of(hips: Floats, along: Floats) -> Floats:
    """Ahead of the hips, turned the shortest way by which the leg has swung from hanging down."""
    down = quat.rotate(hips, np.broadcast_to(_DOWN, along.shape))
    swung = np.concatenate(
        (1.0 + np.sum(down * along, -1, keepdims=True), np.cross(down, along)), -1
    )
    return quat.rotate(
        quat.normalise(swung), quat.rotate(hips, np.broadcast_to(_AHEAD, along.shape))
    )


def _unbroken(name: str, values: Floats) -> Floats:
    """Channels without jumps that mean nothing: quaternions' signs, angles' whole turns."""
    if name.endswith("turn"):
        return quat.continuous(quat.normalise(values))
    if name.endswith(("bend", "swivel")):
        return np.unwrap(values, axis=0)
    return values
