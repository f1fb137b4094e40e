# SPDX-License-Identifier: GPL-3.0-or-later
"""Keep the feet within the legs' reach, so that no knee is pulled straight by its target."""

from dataclasses import replace

import numpy as np

from ..captured.rotations import Floats, rotate
from .feet import Foot
from .retarget import Body, Figure

# The rig's thigh and shin differ more in length than the captured ones, and its heel is
# shorter, so some legs would come out straight. At this share of the leg a knee keeps 7 degrees.
REACH = 0.998
MOST_LOWERED = 0.03  # of the leg's length


def within_reach(figure: Figure, body: Body, feet: dict[str, Foot]) -> tuple[Body, dict[str, Foot]]:
    """Lower the hips by one amount for the whole motion until standing legs reach the floor,
    then draw feet in the air towards their hip where they are still too far."""
    lowered = max(_too_high(figure, body, foot, side) for side, foot in feet.items())
    down = np.array([0.0, 0.0, min(lowered, MOST_LOWERED * figure.leg)])
    body = replace(body, hips=body.hips - down)
    feet = {side: _drawn_in(figure, body, foot, side) for side, foot in feet.items()}
    return body, feet


def hip_joint(figure: Figure, body: Body, side: str) -> Floats:
    """(T,3) the path of a leg's own joint at the hips, metres."""
    return body.hips + rotate(body.pelvis, figure.thighs[side] - figure.hips)


def _too_high(figure: Figure, body: Body, foot: Foot, side: str) -> float:
    """How far the hips must come down for the leg to reach wherever its foot bears, metres."""
    gap = (hip_joint(figure, body, side) - foot.ankle)[foot.contact.down]
    flat = np.sum(gap[:, :2] ** 2, axis=1)
    room = np.sqrt(np.maximum((REACH * figure.leg) ** 2 - flat, 0.0))
    return float(np.max(gap[:, 2] - room, initial=0.0))


def _drawn_in(figure: Figure, body: Body, foot: Foot, side: str) -> Foot:
    hip = hip_joint(figure, body, side)
    gap = foot.ankle - hip
    length = np.linalg.norm(gap, axis=1, keepdims=True)
    return replace(foot, ankle=hip + gap * np.minimum(1.0, REACH * figure.leg / length))
