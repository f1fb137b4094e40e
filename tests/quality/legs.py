# SPDX-License-Identifier: GPL-3.0-or-later
"""The puppet's legs: steered by their feet, with knees that swivel about the line to the ankle."""

import numpy as np

from analysis import quaternions as quat

from .puppet import Floats, Puppet, Tracks

_AHEAD = np.array([0.0, -1.0, 0.0])
_DOWN = np.array([0.0, 0.0, -1.0])
_LEFT = np.array([1.0, 0.0, 0.0])


def ankle(puppet: Puppet, tracks: Tracks, side: str) -> Floats:
    """(T,3) where a foot's channels put its ankle."""
    turn = quat.normalise(tracks[f"foot.{side}.turn"])
    return tracks[f"foot.{side}.place"] - quat.rotate(turn, puppet.ball(side))


def hip(puppet: Puppet, tracks: Tracks, side: str) -> Floats:
    """(T,3) where the hips' channels put a leg's upper end."""
    turn = quat.normalise(tracks["hips.turn"])
    return tracks["hips.place"] + quat.rotate(turn, puppet.offset(f"thigh.{side}"))


def leg_turn(puppet: Puppet, tracks: Tracks, joint: str) -> Floats:
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


def swivel_of(hips: Floats, thigh: Floats, way: Floats) -> Floats:
    """(T,1) radians: how a leg's thigh (T,4) is swivelled; way (T,3) is from hip to ankle."""
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
