# SPDX-License-Identifier: GPL-3.0-or-later
"""What is said of a ball's fall is said only where the ball's own place agrees.

Free is the centre of mass, and not the root: legs that are drawn up in the air push the root back,
so a ball is asked about the centre of mass beside it. Yet whoever makes the ball right, forgets the
limbs for the while: a ball that falls by itself as it should is right, whatever they do.
"""

from dataclasses import replace
from typing import TYPE_CHECKING

from ..basis import Basis
from ..evidence import Evidence
from ..loop import Cycle

if TYPE_CHECKING:
    from ..checks import Check

# Checks that ask about flights.
OF_FLIGHTS = ("hang_time", "gravity", "carry")
BY_ITSELF = "by itself the ball goes as it should where the centre of mass beside it does not"


def as_the_ball_tells(basis: Basis, cycle: Cycle, check: "Check", found: Evidence) -> Evidence:
    """What a check found on the centre of mass that a ball carries, less what it does not find on
    the ball by itself."""
    clip, ball = basis.clip, basis.clip.meta.ball
    is_found = bool(found.events or found.habit)
    if ball is None or not ball.on or not is_found or check.info.name not in OF_FLIGHTS:
        return found
    meta = replace(clip.meta, ball=replace(ball, by_itself=True))
    other = check.find(replace(basis, clip=replace(clip, meta=meta)), cycle)
    events = tuple(
        each
        for each in found.events
        if any(each.first <= same.last and same.first <= each.last for same in other.events)
    )
    habit = found.habit if other.habit else ""
    is_less = len(events) < len(found.events) or habit != found.habit
    why = "; ".join(each for each in (found.skipped, BY_ITSELF if is_less else "") if each)
    return replace(found, events=events, habit=habit, skipped=why)
