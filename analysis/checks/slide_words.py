# SPDX-License-Identifier: GPL-3.0-or-later
"""What `slide` says where the whole body skates: one finding for all plants."""

import numpy as np

from ..basis import Basis
from ..basis.bearing import Slip
from ..evidence import RawEvent, Suggestion
from ..words import direction_text, size_text, speed_text


def skating_event(basis: Basis, slips: list[Slip], limit: float) -> RawEvent:
    """All slipping plants as one event of what carries the body over the floor.

    The speed is that of the feet over what bears them, so the travel is off by it.
    """
    to_story, mover = basis.height.to_story, basis.body("mover")
    way = np.mean([slip.way for slip in slips], axis=0)
    seconds = np.mean([len(slip.paces) for slip in slips]) * basis.dt_s
    size, peak = float(np.linalg.norm(way)), min(slip.peak for slip in slips)
    where = direction_text(way, basis.forward[peak])
    speed = speed_text(size / float(seconds) * to_story)
    back = direction_text(-way, basis.forward[peak])
    return RawEvent(
        check="slide",
        body=basis.lead if mover is None else mover,
        first=min(slip.plant.first for slip in slips),
        last=max(slip.plant.last for slip in slips),
        peak=peak,
        amount=size * to_story * 100.0,
        limit=limit * to_story * 100.0,
        unit="cm",
        visible_m=size,
        step_m=0.0,
        says=(
            f"{len(slips)} plants slip {where}, by {size_text(size * to_story)} each: the {{who}} "
            f"drifts over them at {speed}."
        ),
        suggestion=Suggestion(
            f"Take {speed} {back} into the travel of {{it}}, or change the length of the steps.",
            frame=float(basis.frames[peak]),
            offset=-way,
        ),
    )
