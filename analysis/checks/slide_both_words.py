# SPDX-License-Identifier: GPL-3.0-or-later
"""What `slide` says of both feet that slip together: who carries them along, if anybody does."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..evidence import RawEvent, Suggestion
from ..glides import Glide, carrier
from ..looped import Places
from ..slid import Slid
from ..words import direction_text, size_text
from .slide_words import event_of, is_hand, sure_text

Floats = NDArray[np.float64]

# Feet that go further than this share of the height (17 cm at 1.7 m) ought to step.
STEP_SHARE = 0.1
# Of two that slip together, one is unsure by less than this share of the way.
PAIR_SHARE = 0.5


def together_event(basis: Basis, one: Slid, other: Slid) -> RawEvent:
    """Slips of both feet at once: what carries the body moves over them, or they were moved."""
    way, places = 0.5 * (one.way + other.way), one.places
    first, last, size = one.part.first, one.part.last, float(np.linalg.norm(way))
    bodies = [one.slip.plant.body, other.slip.plant.body]
    by = carrier(places.rounds_basis, bodies, first, last, way)
    # What the other of the two slips makes none of them unsure.
    error = max(one.error, other.error)
    told = sure_text(basis, size, error if error < PAIR_SHARE * size else 0.0)
    at, box = (first, last, one.part.peak), one.slip.plant.box
    says, advice = _words(places, at, way, told, box, by, hands=is_hand(basis, one.slip))
    body = bodies[0] if by is None else by
    return event_of(basis, [one, other], body, says, advice)


def glide_event(places: Places, glide: Glide) -> RawEvent:
    """Both feet stand and are carried over what bears them."""
    basis = places.basis
    way, size = places.home(glide.way, glide.first), float(np.linalg.norm(glide.way))
    feet = [each.sole.body for each in basis.soles]
    by = carrier(places.rounds_basis, feet, glide.first, glide.last, glide.way)
    told = size_text(size * basis.height.to_story)
    at = (glide.first, glide.last, glide.peak)
    says, advice = _words(places, at, way, told, glide.box, by)
    first, last = places.span(*at)
    return RawEvent(
        check="slide",
        body=feet[0] if by is None else by,
        first=first,
        last=last,
        peak=places.sample(glide.peak),
        amount=size * basis.height.to_story * 100.0,
        limit=glide.limit * basis.height.to_story * 100.0,
        unit="cm",
        visible_m=size,
        step_m=0.0,
        says=says,
        suggestion=advice,
    )


def _words(
    places: Places,
    at: tuple[int, int, int],
    way: Floats,
    told: str,
    box: int,
    by: int | None,
    *,
    hands: bool = False,
) -> tuple[str, Suggestion]:
    """The sentence and the advice.

    at    first, last and fastest sample; told: the size in words
    by    what carries the feet, or None
    """
    basis = places.basis
    ahead, size = basis.forward[places.sample(at[2])], float(np.linalg.norm(way))
    where, back = (direction_text(each, ahead) for each in (way, -way))
    short, frames = size_text(size * basis.height.to_story), places.text(at[0], at[1])
    limbs, stand = ("hands", "rest") if hands else ("feet", "stand")
    says = (
        f"Both {limbs} slip {told} {where} together while they {stand} on "
        f"{basis.ground.name(box)}, frames {frames}"
    )
    advice = Suggestion("", frame=places.number(at[1]), offset=-way)
    if by is None:
        text = f"Put both {limbs} back: move their controls {short} {back} by frame "
        text += f"{places.frame(at[1])}."
        return f"{says}: the body does not go along.", replace(advice, text=text)
    text = f"Keep both {limbs} in place there, or take {short} {back} out of the move of {{it}}."
    if not hands and size > STEP_SHARE * basis.height.scene_m:
        text = (
            f"Let the feet step there, or take {short} {back} out of the move of {{it}}; "
            "what rides along under them is declared as a support."
        )
    return f"{says}: the {{who}} carries them along.", replace(advice, text=text)
