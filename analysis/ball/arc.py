# SPDX-License-Identifier: GPL-3.0-or-later
"""One arc of a ball, with all that is told of it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

UP, SIDE, AHEAD = "up", "side", "ahead"


@dataclass(frozen=True, eq=False)
class BallArc:
    """From a low over a top to the next low; to the side and fore and aft from one extreme over
    the next one to the one after that. Metres and m/s at the story's size, places (3,) in metres
    of the scene, frame numbers with fractions.

    axis            "up", "side" or "ahead": what goes to and fro
    frames          (first, last): from the take-off to the landing, where it is in the air
    apex_frame, apex (3,)   its top, or where it turns
    free            whether it is in the air
    seconds, rise_m how long it lasts; how far its top is from the further one of its ends
    share           of its time: that near its top, in the outer quarters of both ways; gravity has
                    .5, a sine 1/3, even spacing 1/4. None where neither way is whole
    fall_g          how strongly it falls, in g; None where nothing tells it
    symmetry        share of its time before the top; None where the range cuts it
    kept            the height from which it fell onto its beginning, as a share of which it rises;
                    None of an arc that is no bounce
    speed_m_s, speed_change_m_s   level speed; and how much faster it is ahead at the end
    ideal_frames (N,), ideal (N,3), off_m (N,)   of what is free, the free path that it is judged
                    by, and how far it is off that; of a turn eased ways between the same ends; of
                    what is carried up and down none (N = 0)
    worst_frame     where it is off the most; None without an ideal
    landing (3,), landing_off_m   where its take-off carries it, and how far it lands from there;
                    None of what is not in the air, or does not come down
    pushes_back     "left foot", "right foot": that stands outside of a turn to the side, and its
                    place (3,); "" and None without one
    says            one sentence
    """

    axis: str
    frames: tuple[float, float]
    apex_frame: float
    apex: Floats
    free: bool
    seconds: float
    rise_m: float
    share: float | None
    fall_g: float | None
    symmetry: float | None
    kept: float | None
    speed_m_s: float
    speed_change_m_s: float
    ideal_frames: Floats
    ideal: Floats
    off_m: Floats
    worst_frame: float | None
    landing: Floats | None
    landing_off_m: float | None
    pushes_back: str
    pushes_from: Floats | None
    says: str
