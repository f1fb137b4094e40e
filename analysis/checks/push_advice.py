# SPDX-License-Identifier: GPL-3.0-or-later
"""What to do against a push: in frames, and where a foot would have to bear."""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..flight_ends import FlightEnds
from ..free_fall import GRAVITY
from ..outside_force import FRICTION, LEAST_PRESSURE, OutsideForce
from ..shoves import Shove
from ..words import direction_text, frame_text, frames_text

Floats = NDArray[np.float64]

# What a standing foot gives sideways, in body weights: it presses 15 cm beside a body that is 1 m
# up (statics; the measures are common practice, no source).
FOOT_GIVES = 0.15
# What may be left of a move that is spread, beside that: less than the limits.
MAY_BE_LEFT = 0.06
# A move from stand to stand over T seconds by d metres, eased in and out as keys are, asks for
# 6 d / T2 at most (of a cubic that starts and ends at rest).
EASED = 6.0
# The body stands again where it has no more than this share of its speed, within so long; and has
# not set off where it has less than that.
STANDS_AGAIN, STANDS, STOPS_WITHIN_S = 0.4, 0.1, 0.5
# Further than this share of the height (60 cm) no foot is set for that.
FURTHEST_SHARE = 0.6 / 1.7
# A push whose way is down by so much of its size is a fall that is too fast; the way down is looked
# for as far as this beside it, and ends where the body sinks slower than this (5 cm/s at 1.7 m).
DOWN, WAY_DOWN_S, SINKS_SHARE = 0.6, 1.5, 0.05 / 1.7
# What is fastest within this share of its way down slows by itself, and is eased.
HITS = 0.7


def goes_down(shove: Shove) -> bool:
    """Whether what pushes would have to pull down."""
    return bool(-shove.force[2] > DOWN * shove.size)


def way_text(basis: Basis, vector: Floats, at: int) -> str:
    """`backwards and to the left`: which way, seen by the figure."""
    words = direction_text(vector, basis.forward[at]).split(" ")
    plain = {"back": "backwards", "forward": "forwards"}
    return " ".join(plain.get(word, word) for word in words)


def on_ground(basis: Basis, forces: OutsideForce, ends: FlightEnds, shove: Shove) -> str:
    """Ways out for a body that something bears."""
    declare = f"declare what pushes it on {_own_frames(basis, shove)} as an event"
    if goes_down(shove):
        return f"It goes down faster than it can fall: {_slower_down(basis, shove)}, or {declare}."
    if ends.lands[shove.peak] and _along_flight(basis, ends, shove) < 0.0:
        return f"{_landing(basis, forces, ends, shove)}, or {declare}."
    if ends.leaves[shove.peak] and _along_flight(basis, ends, shove) > 0.0:
        return f"{_push_off(basis, forces, ends, shove)}, or {declare}."
    way = way_text(basis, -shove.force, shove.peak)
    move = _move(basis, shove)
    # What stops it again would need another foot, on the other side.
    by = _foot_off(basis, forces, shove) if move is None else ""
    step = f"let a foot stand {by} further {way}" if by else "let a foot step into it"
    spread = f"spread this change over {_spread(basis, shove, move)}"
    gives = f"A standing foot gives about {FOOT_GIVES:.2f} body weights"
    return f"{gives}: {spread}, {step}, or {declare}."


def in_air(basis: Basis, shove: Shove) -> str:
    """The way out for one that nothing touches."""
    declare = f"declare what pushes it on {_own_frames(basis, shove)} as an event"
    return f"Let the body go on evenly over the floor until it lands, or {declare}."


def _own_frames(basis: Basis, shove: Shove) -> str:
    return frames_text(float(basis.frames[shove.first]), float(basis.frames[shove.last]))


def _along_flight(basis: Basis, ends: FlightEnds, shove: Shove) -> float:
    """Above 0 where it is along the level way of the flight beside it, below where it is against
    that."""
    flight = basis.flights[ends.flight[shove.peak]]
    if basis.com is None:
        return 0.0
    gone = basis.com[flight.last, :2] - basis.com[flight.first, :2]
    return float(gone @ shove.force[:2])


def _landing(basis: Basis, forces: OutsideForce, ends: FlightEnds, shove: Shove) -> str:
    """A landing that brakes harder than its feet can: set them further on, or stop later."""
    first = basis.flights[ends.flight[shove.peak]].last + 1
    spread = _over(basis, first, _slower(basis, forces, shove, first, shove.last))
    way = way_text(basis, -shove.force, shove.peak)
    by = _foot_off(basis, forces, shove)
    told = f"Its feet cannot stop it so soon from where they land: let it stop over {spread}"
    return f"{told}, let the feet land {by} further {way}" if by else told


def _push_off(basis: Basis, forces: OutsideForce, ends: FlightEnds, shove: Shove) -> str:
    """A push-off that is faster than its feet can make it: lean ahead before, or begin sooner."""
    last = basis.flights[ends.flight[shove.peak]].first - 1
    step = float(basis.frames[1] - basis.frames[0])
    needs = _slower(basis, forces, shove, shove.first, last)
    begins = float(basis.frames[last]) - needs * step
    until = frame_text(float(basis.frames[last]))
    told = "Its feet cannot throw it so far from under it: "
    if begins >= basis.frames[0]:
        told += f"let it gather this speed over frames {frame_text(begins)} to {until}"
    else:
        told += f"give it {needs} frames to gather this speed until frame {until}"
    by = _foot_off(basis, forces, shove)
    way = way_text(basis, shove.force, shove.peak)
    return f"{told}, let the body lean {by} further {way} as it leaves" if by else told


def _slower(basis: Basis, forces: OutsideForce, shove: Shove, first: int, last: int) -> int:
    """Over how many steps the same change of speed asks for no more than the feet give: the longer
    it takes, the less it asks for."""
    asked = float(np.linalg.norm(forces.felt[shove.peak, :2]))
    given = max(asked - float(np.linalg.norm(shove.force[:2])), 0.0) + MAY_BE_LEFT
    has = max(last - first, 1)
    return int(np.ceil(has * max(asked / given, 1.0))) + 1


def _foot_off(basis: Basis, forces: OutsideForce, shove: Shove) -> str:
    """How much further out what presses would have to bear (`12.5 cm`); empty where no foot can."""
    at = shove.peak
    pressed = max(float(forces.felt[at, 2]), LEAST_PRESSURE)
    slips = float(np.linalg.norm(forces.felt[at, :2])) > FRICTION * pressed
    by = float(np.linalg.norm(shove.force[:2])) * float(forces.lever[at]) / pressed
    by /= basis.height.to_story
    return "" if slips or by > FURTHEST_SHARE * basis.height.scene_m else basis.size_text(by)


def _spread(basis: Basis, shove: Shove, move: tuple[int, float] | None) -> str:
    """From which frame to which the change is to be spread; move: see `_move`."""
    if move is None:
        seconds = shove.speed / (FOOT_GIVES * GRAVITY)
    else:
        seconds = float(np.sqrt(EASED * move[1] / ((FOOT_GIVES + MAY_BE_LEFT) * GRAVITY)))
    first = shove.first if move is None else move[0]
    needs = max(int(np.ceil(seconds / basis.dt_s)), shove.last - first + 3)
    return _over(basis, first, needs)


def _move(basis: Basis, shove: Shove) -> tuple[int, float] | None:
    """The move from stand to stand that a push sets going or stops: its first sample, and its
    metres (story). None where the body goes on."""
    if basis.com is None or basis.com_velocity is None:
        return None
    level = max(float(np.linalg.norm(shove.force[:2])), 1e-9)
    way = np.append(shove.force[:2], 0.0) / level
    begins, ends = max(shove.first - 1, 0), min(shove.last + 1, len(basis.com) - 1)
    if basis.com_velocity[begins, 2] < -SINKS_SHARE * basis.height.scene_m:
        return None  # who falls does not come to stand
    speed = basis.com_velocity @ way
    near = round(STOPS_WITHIN_S / basis.dt_s)
    if speed[begins] < 0.0 and abs(speed[ends]) < STANDS_AGAIN * abs(speed[begins]):
        moving = np.flatnonzero(speed[max(begins - near, 0) : begins] > speed[begins] * STANDS)
        first = begins - near if not len(moving) else max(begins - near, 0) + int(moving[-1])
        return max(first, 0), _way(basis, max(first, 0), ends, way)
    gained = speed - speed[begins]
    fastest = begins + int(np.argmax(gained[begins : shove.last + 1]))
    until = min(shove.last + near, len(speed) - 1)
    slow = np.flatnonzero(gained[fastest : until + 1] < STANDS_AGAIN * gained[fastest])
    if not len(slow):
        return None
    moved = _way(basis, begins, fastest + int(slow[0]), way)
    moved -= float(speed[begins]) * (fastest + int(slow[0]) - begins) * basis.dt_s
    return (shove.first, moved) if moved > 0.0 else None


def _way(basis: Basis, first: int, last: int, way: Floats) -> float:
    """How far the centre of mass goes along (3,) between two samples, metres (story)."""
    com = np.zeros((last + 1, 3)) if basis.com is None else basis.com
    return abs(float((com[last] - com[first]) @ way)) * basis.height.to_story


def _over(basis: Basis, first: int, steps: int) -> str:
    """`frames 40 to 52`: so many steps from a sample on."""
    begins = float(basis.frames[first])
    step = float(basis.frames[1] - basis.frames[0])
    return frames_text(begins, begins + steps * step)


def _slower_down(basis: Basis, shove: Shove) -> str:
    """How many frames its way down needs: gravity gains g, and it gains 1 + size times that."""
    first, last = _way_down(basis, shove)
    has = last - first
    needs = int(np.ceil(has * np.sqrt(1.0 + max(-float(shove.force[2]), 0.0)))) + 1
    if _is_eased(basis, first, last) and basis.com is not None:
        falls = float(basis.com[first, 2] - basis.com[last, 2]) * basis.height.to_story
        seconds = np.sqrt(EASED * max(falls, 0.0) / GRAVITY)
        needs = max(needs, int(np.ceil(seconds / basis.dt_s)))
    step = float(basis.frames[1] - basis.frames[0])
    begins, ends = float(basis.frames[first]), float(basis.frames[last])
    return (
        f"let it take {round(needs * step)} frames, in place of {round(has * step)}, from frame "
        f"{frame_text(begins)} to where it is down, now frame {frame_text(ends)}"
    )


def _is_eased(basis: Basis, first: int, last: int) -> bool:
    """Whether a way down slows well before its end: what falls hits the ground at its fastest."""
    if basis.com_velocity is None:
        return False
    fastest = int(np.argmin(basis.com_velocity[first : last + 1, 2]))
    return fastest < HITS * (last - first)


def _way_down(basis: Basis, shove: Shove) -> tuple[int, int]:
    """Samples on which the way down about a shove begins and ends."""
    if basis.com_velocity is None:
        return shove.first, shove.last
    sinks = basis.com_velocity[:, 2] < -SINKS_SHARE * basis.height.scene_m
    reach = round(WAY_DOWN_S / basis.dt_s)
    first, last = shove.first, shove.peak
    while first > max(shove.first - reach, 0) and sinks[first - 1]:
        first -= 1
    while last < min(shove.last + reach, len(sinks) - 1) and sinks[last]:
        last += 1
    return first, max(last, first + 1)
