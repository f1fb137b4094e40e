# SPDX-License-Identifier: GPL-3.0-or-later
"""What `carry` says of steps: how far a body floats on beyond what its leg carries it."""

from collections.abc import Sequence

import numpy as np

from ..basis import Basis
from ..carry_steps import Stepped
from ..evidence import RawEvent, Suggestion
from ..words import direction_text, frame_text, speed_text

_SIDES = {"L": "left", "R": "right"}


def step_event(basis: Basis, stepped: Stepped, limit: float) -> RawEvent:
    """The event of one step; `limit` is a share of what the leg carries the body."""
    step, to_story = stepped.step, basis.height.to_story
    first, last = round(step.first), round(step.last)
    begin, end = (frame_text(basis.frames[at]) for at in (first, last))
    gone, carried, beyond = (
        basis.size_text(metres) for metres in (step.metres, stepped.carried_m, stepped.beyond_m)
    )
    frames = last - first
    more = max(round(frames * stepped.beyond), 1)
    way = direction_text(np.append(step.way, 0.0), basis.forward[first])
    return RawEvent(
        check="carry",
        body=basis.lead,
        first=first,
        last=last,
        peak=(first + last) // 2,
        amount=basis.amount(stepped.beyond_m),
        limit=basis.amount(limit * stepped.carried_m),
        unit=basis.unit,
        visible_m=stepped.beyond_m,
        step_m=step.metres / max(frames, 1),
        says=(
            f"The {{who}} floats {way} in the step from frame {begin} to {end}: from over the "
            f"{_SIDES[step.side]} foot to over the next one it goes {gone}, where the leg carries "
            f"it {carried}, as in the steps beside it, at the "
            f"{speed_text(step.speed * to_story)} that it has over its feet."
        ),
        suggestion=Suggestion(
            f"Let the next foot land {beyond} nearer, and the body go that much less far; or give "
            f"the step {frames + more} frames, not {frames}.",
            frame=float(basis.frames[last]),
        ),
    )


def steps_text(found: Sequence[Stepped]) -> str:
    """What holds where no step is blamed."""
    most = max(0.0, *(each.beyond for each in found))
    return (
        f"{len(found)} steps: none goes more than {100.0 * max(most, 0.01):.0f} % further than its "
        "leg carries the body."
    )
