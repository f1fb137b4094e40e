# SPDX-License-Identifier: GPL-3.0-or-later
"""What is said of a ball's fall is said only where its figure's centre of mass agrees.

Free is the centre of mass, and not the root: legs that are drawn up in the air push the root back.
So a ball that falls by itself as it should is right, whatever the limbs do; and so is one that does
not, where the centre of mass that it carries does.
"""

from dataclasses import replace
from typing import TYPE_CHECKING

from ..basis import Basis
from ..basis.ball import BallBasis
from ..evidence import Evidence
from ..loop import Cycle

if TYPE_CHECKING:
    from ..checks import Check

# Checks that ask about flights.
OF_FLIGHTS = ("hang_time", "gravity", "carry")
LIMBS = "with what its limbs do, the centre of mass goes as it should where the ball does not"


def as_limbs_tell(basis: Basis, cycle: Cycle, check: "Check", found: Evidence) -> Evidence:
    """What a check found on a ball, less what it does not find on the centre of mass as the ball
    carries it."""
    clip = basis.clip
    is_asked = check.info.name in OF_FLIGHTS and bool(found.events or found.habit)
    if not is_asked or not isinstance(basis, BallBasis) or basis.limbs is None:
        return found
    if clip.meta.ball is None:
        return found
    ball = replace(clip.meta.ball, with_limbs=True)
    carried = replace(basis, clip=replace(clip, meta=replace(clip.meta, ball=ball)))
    other = check.find(carried, cycle)
    events = tuple(
        each
        for each in found.events
        if any(each.first <= same.last and same.first <= each.last for same in other.events)
    )
    habit = found.habit if other.habit else ""
    less = len(events) < len(found.events) or habit != found.habit
    told = [each for each in (found.skipped, LIMBS if less else "") if each]
    return replace(found, events=events, habit=habit, skipped="; ".join(told))
