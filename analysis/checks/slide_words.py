# SPDX-License-Identifier: GPL-3.0-or-later
"""What `slide` says of one plant, and where nothing slips."""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..basis.ground import FLOOR
from ..basis.slips import LANDING, MIDDLE, PUSH_OFF, Slip
from ..evidence import RawEvent, Suggestion
from ..parts import split_part
from ..plant_measures import stays
from ..slid import Slid
from ..words import count_text, direction_text, size_text, speed_text

Floats = NDArray[np.float64]

# Less than this is none, metres; an amount that is less unsure than this is sure.
NOTHING_M, SURE_M = 0.0005, 0.001
_WHEN = {
    LANDING: "as it lands on",
    MIDDLE: "while it stands on",
    PUSH_OFF: "as it pushes off",
}
_HELD = "while it rests on"
# The end of an advice to feet that go further than they would by mistake.
RIDES_ALONG = "or declare what rides along under the feet as a support"


def slip_event(basis: Basis, slid: Slid) -> RawEvent:
    """A plant that slips, on its foot."""
    plant, part, places = slid.slip.plant, slid.part, slid.places
    last, ahead = places.sample(part.last), basis.forward[places.sample(part.peak)]
    where = direction_text(slid.way, ahead)
    size = sure_text(basis, slid.metres, slid.error)
    when = _HELD if is_hand(basis, slid.slip) else _WHEN[part.name]
    says = (
        f"The {{who}} slips {size} {where} {when} {basis.ground.name(plant.box)}, "
        f"frames {places.text(part.first, part.last)}."
    )
    short = size_text(slid.metres * basis.height.to_story)
    back = direction_text(-slid.way, ahead)
    return event_of(
        basis,
        [slid],
        plant.body,
        says,
        Suggestion(
            f"Hold {{it}} in place from frame {places.text(plant.first, plant.last)}: move it "
            f"{short} {back} by frame {places.frame(part.last)}.",
            frame=places.number(part.last),
            position=basis.positions[last, plant.body] - slid.way,
            offset=-slid.way,
        ),
    )


def is_hand(basis: Basis, slip: Slip) -> bool:
    """Whether it is a hand's, and no foot's."""
    return split_part(basis.bodies[slip.plant.body].part or "")[0] == "hand"


def event_of(basis: Basis, slid: list[Slid], body: int, says: str, advice: Suggestion) -> RawEvent:
    """One event of all slips: their mean way, from the first to the last frame of any."""
    size = float(np.linalg.norm(np.mean([each.way for each in slid], axis=0)))
    to_story = basis.height.to_story
    spans = [each.places.span(each.part.first, each.part.last, each.part.peak) for each in slid]
    return RawEvent(
        check="slide",
        body=body,
        first=min(span[0] for span in spans),
        last=max(span[1] for span in spans),
        peak=min(each.places.sample(each.part.peak) for each in slid),
        amount=size * to_story * 100.0,
        limit=min(each.limit for each in slid) * to_story * 100.0,
        unit="cm",
        visible_m=size,
        step_m=0.0,
        says=says,
        suggestion=advice,
    )


def sure_text(basis: Basis, size: float, error: float) -> str:
    """An amount, and how sure it is where that can be seen: `3.2 cm (give or take 0.4 cm)`."""
    to_story = basis.height.to_story
    text = size_text(size * to_story)
    if error >= size:  # the others tell nothing of this one
        return f"about {text}"
    return text if error < SURE_M else f"{text} (give or take {size_text(error * to_story)})"


def why_not(basis: Basis) -> str:
    """Why nothing can slide."""
    if not basis.soles:
        return "no foot is known, and only feet can slide"
    return "no foot is ever planted (low, and slow for a while)"


def good_text(basis: Basis, slips: list[Slip], hands: list[Slip], error: float) -> str:
    """How many plants there are, and how little they slip; the same of hands on supports."""
    if not slips:
        return _hands_text(hands).capitalize()
    feet = _feet_text(basis, slips, error)
    return f"{feet.removesuffix('.')}; {_hands_text(hands)}" if hands else feet


def _hands_text(hands: list[Slip]) -> str:
    count = count_text(stays(hands), "time")
    return f"hands rest {count} on what was declared, and none slips along it."


def _feet_text(basis: Basis, slips: list[Slip], error: float) -> str:
    middles = [part.metres for slip in slips if (part := slip.part(MIDDLE))]
    most = max(middles, default=0.0) * basis.height.to_story
    plants = count_text(len(slips), "plant")
    ground = ""
    if basis.ground.moves:
        speed = float(np.linalg.norm(basis.ground.velocity, axis=-1).mean())
        ground = f" over ground that moves at {speed_text(speed * basis.height.to_story)}"
        if basis.ground.turn_rad_s:
            turn = abs(np.degrees(basis.ground.turn_rad_s))
            ground += f" and turns by {turn:.0f} degrees a second"
    if most < NOTHING_M:
        # Of what stands on a ladder only this was asked: whether it sinks or floats is not.
        on_box = any(slip.plant.box != FLOOR for slip in slips)
        still = "no foot slips along what it stands on" if on_box else "every foot stands still"
        return f"{plants}{ground}: {still}."
    usual = f", half of them at most {size_text(error * basis.height.to_story)}"
    return (
        f"{plants}{ground}: no foot slips more than {size_text(most)} while it stands"
        f"{usual if len(middles) > 2 and error >= SURE_M else ''}."
    )
