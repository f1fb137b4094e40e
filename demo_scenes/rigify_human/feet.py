# SPDX-License-Identifier: GPL-3.0-or-later
"""Where the rig's feet have to be: captured feet at the rig's size, planted without sliding."""

from dataclasses import dataclass

import numpy as np

from ..captured.motions import CapturedMotion
from ..captured.rotations import Floats, about, continuous, normalise, rotate, slerp
from .contacts import FootContact, find_contacts, nearness, runs
from .retarget import Figure, scale_of, turns_since_rest

BLEND_S = 0.08  # how long a foot takes into and out of its lock on the floor
_UP = np.array([0.0, 0.0, 1.0])
_FORWARD = np.array([0.0, -1.0, 0.0])


@dataclass(frozen=True, eq=False)
class Foot:
    """One foot over T frames: ankle (T,3) in metres, turn since rest (T,4), way the knee points
    (T,3), and its contacts."""

    ankle: Floats
    turn: Floats
    knee: Floats
    contact: FootContact


def retarget_foot(figure: Figure, motion: CapturedMotion, side: str) -> Foot:
    """The foot's targets: as captured in the air, level and still while it stands flat, and
    never with a part of its sole below the floor z = 0."""
    contact = find_contacts(motion, side)
    turn = turns_since_rest(motion, f"foot.{side}")
    ankle = _scaled_ankle(figure, motion, side, turn)
    reach = max(1, round(BLEND_S * motion.fps))
    for first, last in runs(contact.flat):
        near = nearness(_between(first, last, len(ankle)), reach)[:, None]
        still_ankle, still_turn = _still(ankle[first : last + 1], turn[first : last + 1])
        ankle = ankle + near * (still_ankle - ankle)
        turn = _blend(turn, still_turn, near)
    ankle = _onto_floor(figure, side, ankle, turn, contact, reach)
    thigh, shin = (turns_since_rest(motion, f"{j}.{side}") for j in ("thigh", "shin"))
    knee = rotate(continuous(slerp(thigh, shin, 0.5)), _FORWARD)
    return Foot(ankle, continuous(turn), knee, contact)


def sole_heights(figure: Figure, side: str, ankle: Floats, turn: Floats) -> Floats:
    """(T,3) heights in metres of heel, ball and toe tip, the foot taken as one piece."""
    offsets = figure.soles[side] - figure.ankles[side]
    return ankle[:, None, 2] + rotate(turn[:, None], offsets[None])[..., 2]


def _scaled_ankle(figure: Figure, motion: CapturedMotion, side: str, turn: Floats) -> Floats:
    """The ankle above the captured sole's place, as high as the rig's own ankle stands."""
    foot = motion.joint(f"foot.{side}")
    sole = motion.positions[:, foot] - rotate(turn, motion.rest_positions[foot, 2] * _UP)
    return scale_of(figure, motion) * sole + rotate(turn, figure.ankle_height * _UP)


def _between(first: int, last: int, count: int) -> np.ndarray:
    at = np.arange(count)
    return (at >= first) & (at <= last)


def _still(ankle: Floats, turn: Floats) -> tuple[Floats, Floats]:
    """One place (3,) and one turn (4,) for a plant: its middle, with the sole level."""
    ahead = np.mean(rotate(turn, _FORWARD), axis=0)
    heading = np.arctan2(ahead[0], -ahead[1])
    return np.median(ankle, axis=0), about(_UP, np.asarray(heading))


def _blend(turn: Floats, still: Floats, share: Floats) -> Floats:
    """Turns (T,4) led towards one turn (4,) by a share (T,1) each."""
    still = np.where(np.sum(turn * still, axis=-1, keepdims=True) < 0.0, -still, still)
    return normalise(turn + share * (still - turn))


def _onto_floor(
    figure: Figure, side: str, ankle: Floats, turn: Floats, contact: FootContact, reach: int
) -> Floats:
    """Draw the foot down by what floats under it while it bears, fading in the air around
    that, and lift whatever is under the floor."""
    lowest = sole_heights(figure, side, ankle, turn).min(axis=1)
    floating = np.zeros(len(lowest))
    if contact.down.any():
        at = np.flatnonzero(contact.down)
        nearest = at[np.abs(np.arange(len(lowest))[:, None] - at).argmin(axis=1)]
        floating = nearness(contact.down, reach) * lowest[nearest]
    return ankle - np.minimum(floating, lowest)[:, None] * _UP
