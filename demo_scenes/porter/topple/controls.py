# SPDX-License-Identifier: GPL-3.0-or-later
"""From the points seen from the side to the keys of the rig's controls.

The body control carries the hips; the bend at the waist is shared by the three joints of the spine
and the head's by neck and head. Feet stand on their controls, and each knee's pole keeps ahead of
the knee, so that the legs' IK bends them as the points do.
"""

from collections.abc import Iterable

import numpy as np

from ..bones import BODY, HIP
from ..keys import ShotKey, ShotTable
from .joints import JOINTS, Joint
from .limp import angle, wrapped
from .points import AT, REST, SIDES, Floats

_POLE_AHEAD, _POLE_UP = 0.62, 0.509  # of the knee's pole at rest
SPINE, HEAD = ("spine.1", "spine.2", "chest"), ("neck", "head")
Channels = dict[tuple[str, str], Floats]


def channels(points: Floats) -> Channels:
    """(T,) metres or degrees of each control's word, from points (T,P,2)."""
    bend = {joint.name: _joint_degrees(points, joint) for joint in JOINTS}
    found: Channels = {**_body(points)}
    for control in SPINE:
        found[control, "lean"] = bend["waist"] / len(SPINE)
    for control in HEAD:
        found[control, "lean"] = bend["neck"] / len(HEAD)
    for side in SIDES:
        for joint, bone in (("shoulder", "upper_arm"), ("elbow", "forearm"), ("wrist", "hand")):
            found[f"{bone}.{side}", "swing"] = -bend[f"{joint}.{side}"]
        found.update(_foot(points, side))
    return found


def key_table(found: Channels, frames: Iterable[int], first: int, fps: float) -> ShotTable:
    """Keys on these frames, each with the speed at which its channel passes it."""
    table: dict[str, dict[str, dict[int, ShotKey]]] = {}
    chosen = list(frames)
    for (control, word), values in found.items():
        speeds = np.gradient(values) * fps
        keys = {f: (float(values[f - first]), float(speeds[f - first])) for f in chosen}
        table.setdefault(control, {})[word] = dict(keys)
    return table


def _body(points: Floats) -> Channels:
    """Where the body control is and how far it leans."""
    lean = _segment_turn(points, "hip", "waist")
    ahead, up = -BODY[1] - -HIP[1], BODY[2] - HIP[2]
    hip = points[:, AT["hip"]]
    return {
        ("body", "ahead"): hip[:, 0] + np.cos(lean) * ahead + np.sin(lean) * up + BODY[1],
        ("body", "up"): hip[:, 1] + np.cos(lean) * up - np.sin(lean) * ahead - BODY[2],
        ("body", "lean"): np.degrees(lean),
    }


def _foot(points: Floats, side: str) -> Channels:
    """The foot turns on its heel, which stays; the pole stands at right angles to the leg."""
    turn = _segment_turn(points, f"ankle.{side}", f"ball.{side}")
    hip, ankle = points[:, AT["hip"]], points[:, AT[f"ankle.{side}"]]
    leg = hip - ankle
    ahead = np.stack([leg[:, 1], -leg[:, 0]], axis=1) / np.linalg.norm(leg, axis=1)[:, None]
    pole = 0.5 * (hip + ankle) + _POLE_AHEAD * ahead
    return {
        (f"foot_ik.{side}", "toes_up"): -np.degrees(turn),
        (f"knee_pole.{side}", "ahead"): pole[:, 0] - _POLE_AHEAD,
        (f"knee_pole.{side}", "up"): pole[:, 1] - _POLE_UP,
    }


def _segment_turn(points: Floats, one: str, two: str) -> Floats:
    """(T,) radians by which a segment is turned forward from the rest pose."""
    rest = angle(REST[one], REST[two])
    pairs = points[:, [AT[one], AT[two]]]
    return np.unwrap([wrapped(angle(a, b) - rest) for a, b in pairs])


def _joint_degrees(points: Floats, joint: Joint) -> Floats:
    """(T,) degrees by which a joint is bent forward from the rest pose."""
    second, first = (_segment_turn(points, *each) for each in (joint.second, joint.first))
    return np.degrees(second - first)
