# SPDX-License-Identifier: GPL-3.0-or-later
"""What `slide` says of feet, or hands, that slip together: who carries them, if anybody does."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..evidence import RawEvent, Suggestion
from ..glides import carrier
from ..looped import Places
from ..rides import STEP_SHARE, Ride, is_behind
from ..slid import Slid
from ..words import direction_text, size_text
from .slide_words import RIDES_ALONG, event_of, is_hand, sure_text

Floats = NDArray[np.float64]

# Of two that slip together, one is unsure by less than this share of the way.
PAIR_SHARE = 0.5
_SIDES = {"L": "left", "R": "right"}


def together_event(basis: Basis, slid: Sequence[Slid]) -> RawEvent:
    """Slips of feet, or hands, at once: what carries the body moves over them, or they were
    moved."""
    one, places = slid[0], slid[0].places
    way = np.mean([each.way for each in slid], axis=0)
    first, last, size = one.part.first, one.part.last, float(np.linalg.norm(way))
    bodies = [each.slip.plant.body for each in slid]
    box = one.slip.plant.box
    at = (places.rounds_basis, bodies, first, last, way, box)
    by, behind = carrier(*at), is_behind(*at)
    # What the others of these slips make none of them unsure.
    error = max(each.error for each in slid)
    told = sure_text(basis, size, error if error < PAIR_SHARE * size else 0.0)
    hands = [is_hand(basis, each.slip) for each in slid]
    limbs, stand = _limbs(basis, slid), "rest" if any(hands) else "stand"
    where, back, short = _way_texts(places, one.part.peak, way)
    says = (
        f"{limbs} slip {told} {where} together while they {stand} on "
        f"{basis.ground.name(box)}, frames {places.text(first, last)}"
    )
    limbs = limbs[0].lower() + limbs[1:]
    text = f"Put {limbs} back: move their controls {short} {back} by frame {places.frame(last)}."
    if behind:
        by, text = basis.lead, _along_text(places, box, last, (short, back))
    elif by is not None:
        text = f"Keep {limbs} in place there, or take {short} {back} out of the move of {{it}}."
        if not any(hands) and size > STEP_SHARE * basis.height.scene_m:
            text = _step_text(short, back)
    advice = Suggestion(text, frame=places.number(last), offset=-way)
    body = bodies[0] if by is None else by
    return event_of(basis, list(slid), body, f"{says}: {_cause(by, behind=behind)}.", advice)


def ride_event(places: Places, ride: Ride) -> RawEvent:
    """Both feet stand and are carried over what bears them, once or again and again."""
    basis, worst = places.basis, ride.largest
    way, size = places.home(worst.way, worst.first), float(np.linalg.norm(worst.way))
    first, last = ride.glides[0].first, max(each.last for each in ride.glides)
    where, back, short = _way_texts(places, worst.peak, way)
    says, advice = _ride_words(places, ride, (where, back, short))
    span = places.span(first, last, worst.peak)
    return RawEvent(
        check="slide",
        body=basis.soles[0].sole.body if ride.by is None else ride.by,
        first=span[0],
        last=span[1],
        peak=places.sample(worst.peak),
        amount=size * basis.height.to_story * 100.0,
        limit=worst.limit * basis.height.to_story * 100.0,
        unit="cm",
        visible_m=size,
        step_m=0.0,
        says=f"{says}, frames {places.text(first, last)}: {_cause(ride.by, behind=ride.behind)}.",
        suggestion=replace(advice, frame=places.number(worst.last), offset=-way),
    )


def _ride_words(places: Places, ride: Ride, told: tuple[str, str, str]) -> tuple[str, Suggestion]:
    """The sentence without its frames and cause, and the advice.

    told   which way, which way back, how far
    """
    basis, worst, (where, back, short) = places.basis, ride.largest, told
    ground, count = basis.ground.name(worst.box), len(ride.glides)
    says = f"Both feet slip {short} {where} together while they stand on {ground}"
    if count > 1:
        says = f"Both feet slip together {count} times while they stand on {ground}, "
        says += f"{short} {where} at the most"
    text = f"Put both feet back: move their controls {short} {back} by frame "
    text += f"{places.frame(worst.last)}."
    if ride.behind:
        text = _along_text(places, worst.box, worst.last, (short, back))
    elif ride.by is not None:
        text = f"Keep both feet in place there, or take {short} {back} out of the move of {{it}}."
        if float(np.linalg.norm(worst.way)) > STEP_SHARE * basis.height.scene_m:
            text = _step_text(short, back)
    return says, Suggestion(text)


def _cause(by: int | None, *, behind: bool) -> str:
    if behind:
        return "it moves, and the figure does not go along with it in time"
    return "the body does not go along" if by is None else "the {who} carries them along"


def _along_text(places: Places, box: int, last: int, off: tuple[str, str]) -> str:
    return (
        f"Let body and feet go along with {places.basis.ground.name(box)}: they are {off[0]} off "
        f"by frame {places.frame(last)}, to be moved {off[1]}."
    )


def _step_text(short: str, back: str) -> str:
    return f"Let the feet step there, take {short} {back} out of the move of {{it}}, {RIDES_ALONG}."


def _way_texts(places: Places, at: int, way: Floats) -> tuple[str, str, str]:
    """Which way, which way back, and how far."""
    basis = places.basis
    ahead = basis.forward[places.sample(at)]
    where, back = (direction_text(each, ahead) for each in (way, -way))
    return where, back, size_text(float(np.linalg.norm(way)) * basis.height.to_story)


def _limbs(basis: Basis, slid: Sequence[Slid]) -> str:
    """`Both feet`, `Both hands`, `Both feet and the left hand`."""
    told = []
    for name, many, hands in (("foot", "feet", False), ("hand", "hands", True)):
        sides = [each.slip.plant.side for each in slid if is_hand(basis, each.slip) == hands]
        if len(sides) > 1:
            told.append(f"both {many}")
        elif sides:
            told.append(f"the {_SIDES[sides[0]]} {name}")
    text = " and ".join(told)
    return text[0].upper() + text[1:]
