# SPDX-License-Identifier: GPL-3.0-or-later
"""What `slide` says of a shot that skates from end to end."""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..evidence import RawEvent, Suggestion
from ..looped import Places
from ..rides import STEP_SHARE
from ..skating import Skate
from ..words import count_text, direction_text, size_text, speed_text
from .slide_words import RIDES_ALONG

Floats = NDArray[np.float64]

# A mover that goes no further than this share of the height carries nobody.
MOVES_SHARE = 1e-3


def skating_event(places: Places, skate: Skate) -> RawEvent:
    """A shot that skates, on what carries the body: its speed against what the feet say."""
    basis = places.basis
    to_story, mover = basis.height.to_story, carrying_mover(basis)
    way, size = skate.way, float(np.linalg.norm(skate.way))
    plants = places.once(skate.plants)
    first, last = plants[0].first, max(plant.last for plant in plants)
    ahead = basis.forward[places.sample(first)]
    where, back = (direction_text(each, ahead) for each in (way, -way))
    each = f"by {size_text(size * to_story)} each"
    count = count_text(len(plants), "plant")
    speed = speed_text(float(np.linalg.norm(skate.velocity)) * to_story)
    says = f"{count} slip {where}, {each}: the {{who}} drifts over them at {speed}."
    if mover is not None:
        goes = (basis.positions[-1, mover] - basis.positions[0, mover]) * [1.0, 1.0, 0.0]
        goes = goes / (basis.dt_s * (len(basis.frames) - 1)) - basis.ground.velocity.mean(axis=0)
        says = (
            f"The {{who}} goes at {_exact_speed(goes, to_story)}, the planted feet say "
            f"{_exact_speed(goes - skate.velocity, to_story)}: {count} slip {where}, {each}."
        )
    spans = places.spans(first, last)
    return RawEvent(
        check="slide",
        body=basis.lead if mover is None else mover,
        first=min(span[0] for span in spans),
        last=max(span[1] for span in spans),
        peak=places.sample(first),
        amount=size * to_story * 100.0,
        limit=skate.limit * to_story * 100.0,
        unit="cm",
        visible_m=size,
        step_m=0.0,
        says=says,
        suggestion=Suggestion(
            _advice(f"{speed} {back}", far=size > STEP_SHARE * basis.height.scene_m),
            frame=places.number(first),
            offset=-way,
        ),
        throughout=True,
    )


def _advice(more: str, *, far: bool) -> str:
    """What to do; of feet that go far it may be that something carries the figure."""
    text = f"Take {more} into the travel of {{it}}"
    if far:
        return f"{text}, change the length of the steps, {RIDES_ALONG}."
    return f"{text}, or change the length of the steps."


def carrying_mover(basis: Basis) -> int | None:
    """The mover where there is one that moves."""
    mover = basis.body("mover")
    if mover is None:
        return None
    goes = np.ptp(basis.positions[:, mover, :2], axis=0).max()
    return mover if goes > MOVES_SHARE * basis.height.scene_m else None


def _exact_speed(velocity: Floats, to_story: float) -> str:
    """A speed to the centimetre, so that two that differ a little can be told apart."""
    return f"{float(np.linalg.norm(velocity)) * to_story:.2f} m/s"
