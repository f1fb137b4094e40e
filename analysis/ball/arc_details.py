# SPDX-License-Identifier: GPL-3.0-or-later
"""What else is measured of an arc of a ball, in a sentence for whoever wants to know."""

from ..plain_text import number_text
from ..words import capital, frame_text, size_text, speed_text
from .arc import UP, BallArc

# A change of speed, and a way, that nobody sees at the story's size.
SLOW_M_S, NEAR_M = 0.05, 0.002


def details_text(arc: BallArc) -> str:
    """`Lasts .46 s, rises 20.7 cm; its top is at 61 % of that time; goes at 83 cm/s, 52 cm/s more
    at its end; up to 6.8 cm off the free path, at frame 21.`"""
    way = "rises" if arc.axis == UP else "goes"
    told = [f"lasts {number_text(round(arc.seconds, 2))} s, {way} {size_text(arc.rise_m)}"]
    if arc.symmetry is not None:
        top = "its top" if arc.axis == UP else "its turn"
        told.append(f"{top} is at {100.0 * arc.symmetry:.0f} % of that time")
    if arc.free and arc.share is None:
        told.append("too few frames in the air to tell a shape")
    if arc.axis == UP:
        told.append(_speed(arc))
    is_whole = arc.free or arc.symmetry is not None
    if is_whole and arc.worst_frame is not None and float(arc.off_m.max()) >= NEAR_M:
        ideal = "the free path" if arc.axis == UP else "an eased way"
        off, at = size_text(float(arc.off_m.max())), frame_text(round(arc.worst_frame))
        told.append(f"up to {off} off {ideal}, at frame {at}")
    return f"{capital('; '.join(told))}."


def _speed(arc: BallArc) -> str:
    """How fast it goes over the ground, and whether that changes until its end."""
    speed, change = speed_text(arc.speed_m_s), arc.speed_change_m_s
    if abs(change) < SLOW_M_S:
        return f"goes over the ground at {speed} throughout"
    more = "faster" if change > 0.0 else "slower"
    return f"goes over the ground at {speed}, {speed_text(abs(change))} {more} at its end"
