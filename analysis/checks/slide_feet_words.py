# SPDX-License-Identifier: GPL-3.0-or-later
"""What `slide` says of one foot against the other, and of a mover that turns against both."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..evidence import RawEvent, Suggestion
from ..feet_tell import Disagreement, MoverTurn, Told
from ..looped import Places
from ..slid import Slid
from ..words import direction_text, size_text, speed_text
from .slide_words import is_hand

Floats = NDArray[np.float64]

_SIDES = {"L": "left", "R": "right"}
_OTHER = {"L": "R", "R": "L"}
# The figure's own axes, in which feet are compared: ahead, and to the left.
_AHEAD = np.array([1.0, 0.0, 0.0])


def against_event(basis: Basis, one: Slid, other: Slid) -> RawEvent:
    """Two feet that stand at once and slip apart: on the one that goes further."""
    most, least = (one, other) if one.metres >= other.metres else (other, one)
    places, part = most.places, most.part
    ahead, to_story = basis.forward[places.sample(part.peak)], basis.height.to_story
    way = most.way - least.way
    size, seconds = float(np.linalg.norm(way)), max(part.last - part.first, 1) * basis.dt_s
    where, back = (direction_text(each, ahead) for each in (way, -way))
    told, frames = size_text(size * to_story), places.text(part.first, part.last)
    limbs = "hands rest" if is_hand(basis, most.slip) else "feet stand"
    says = (
        f"While both {limbs} on {basis.ground.name(most.slip.plant.box)}, frames {frames}, the "
        f"{{who}} goes {speed_text(size / seconds * to_story)} {where} against the "
        f"{_SIDES[least.slip.plant.side]} one, {told} in all."
    )
    advice = Suggestion(
        f"Hold both in place over frames {frames}, or lift {{it}}: it is {told} off, to "
        f"be moved {back}.",
        frame=places.number(part.last),
        offset=-way,
    )
    span = places.span(part.first, part.last, part.peak)
    limit = min(one.limit, other.limit)
    peak = places.sample(part.peak)
    return _event(basis, most.slip.plant.body, span, peak, size, limit, says, advice)


def disagree_event(places: Places, apart: Disagreement, tells: list[Told]) -> RawEvent:
    """One foot that drifts against the other in all their plants."""
    basis, side, other = places.basis, apart.side, _OTHER[apart.side]
    to_story = basis.height.to_story
    way = np.array([apart.apart[0], apart.apart[1], 0.0])
    far = size_text(apart.metres * to_story)
    back = direction_text(-way, _AHEAD)
    if apart.by_turn:
        turn = apart.turns[side] - apart.turns[other]
        says = (
            f"The planted feet disagree on how the ground turns: the {{who}} turns by "
            f"{_degrees(turn)} a second to the {_hand(turn)} against the {_SIDES[other]} one."
        )
        text = f"Turn {{it}} with the ground in its plants: {_degrees(turn)} a second less."
    else:
        speed = speed_text(float(np.linalg.norm(way)) * to_story)
        goes = (
            f"goes {speed} {direction_text(way, _AHEAD)} against the {_SIDES[other]} one, {far} in "
            "a plant."
        )
        says = f"The {{who}} slips in all its plants: it {goes}"
        if basis.ground.moves:
            says = f"The planted feet disagree on {_ground(places, apart)}: the {{who}} {goes}"
        text = f"Move {{it}} {far} {back} from the first frame of its plants to the last."
    mine = [each for each in tells if each.slip.plant.side == side]
    worst = max(mine, key=lambda each: float(np.linalg.norm(each.drift)))
    span, peak = _whole(places, worst)
    advice = Suggestion(text, frame=float(basis.frames[peak]))
    body = worst.slip.plant.body
    event = _event(basis, body, span, peak, apart.metres, apart.limit, says, advice)
    return replace(event, throughout=True)


def mover_turn_event(places: Places, turn: MoverTurn, tells: list[Told]) -> RawEvent:
    """A mover that turns otherwise than the planted feet."""
    basis, mover = places.basis, places.basis.body("mover")
    says = (
        f"The {{who}} turns by {_turn(turn.mover)}, the planted feet say {_turn(turn.feet)}: they "
        f"turn over the floor by {_degrees(turn.mover - turn.feet)} a second."
    )
    text = (
        f"Turn {{it}} by {_degrees(turn.feet - turn.mover)} a second more to the "
        f"{_hand(turn.feet - turn.mover)}."
    )
    worst = max(tells, key=lambda each: abs(each.turn_rad_s))
    span, peak = _whole(places, worst)
    advice = Suggestion(text, frame=float(basis.frames[peak]))
    event = _event(basis, mover, span, peak, turn.metres, turn.limit, says, advice)
    return replace(event, throughout=True)


def _ground(places: Places, apart: Disagreement) -> str:
    """How fast the ground goes by, as each foot tells it."""
    basis = places.basis
    ahead = basis.forward[0]
    level = np.median(basis.ground.velocity, axis=0)
    own = np.array([level @ ahead, level[1] * ahead[0] - level[0] * ahead[1]])
    to_story = basis.height.to_story
    speeds = {
        name: float(np.linalg.norm(own + apart.drifts[side])) * to_story
        for side, name in _SIDES.items()
    }
    told = [f"{speed:.2f} m/s ({name})" for name, speed in speeds.items()]
    return f"how fast the ground goes, {' and '.join(told)}"


def _whole(places: Places, told: Told) -> tuple[tuple[int, int], int]:
    """The piece of the range that holds the middle of a plant, and that sample."""
    plant, (first, last) = told.slip.plant, told.slip.middle
    middle = (first + last) // 2
    return places.span(plant.first, plant.last, middle), places.sample(middle)


def _degrees(turn: float) -> str:
    return f"{abs(np.degrees(turn)):.0f} degrees"


def _turn(turn: float) -> str:
    """A turn and its way, in degrees a second."""
    size = _degrees(turn)
    return f"{size} a second" + ("" if size.startswith("0 ") else f" to the {_hand(turn)}")


def _hand(turn: float) -> str:
    return "left" if turn > 0.0 else "right"


def _event(
    basis: Basis,
    body: int | None,
    span: tuple[int, int],
    peak: int,
    size: float,
    limit: float,
    says: str,
    advice: Suggestion,
) -> RawEvent:
    """An event over a piece of the range, of so many scene metres."""
    to_centimetres = basis.height.to_story * 100.0
    return RawEvent(
        check="slide",
        body=body,
        first=span[0],
        last=span[1],
        peak=peak,
        amount=size * to_centimetres,
        limit=limit * to_centimetres,
        unit="cm",
        visible_m=size,
        step_m=0.0,
        says=says,
        suggestion=advice,
    )
