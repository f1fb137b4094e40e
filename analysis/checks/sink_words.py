# SPDX-License-Identifier: GPL-3.0-or-later
"""What `sink` says: of one foot, of both, and of a shot whose feet are all as deep."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..evidence import RawEvent, Suggestion
from ..parts import label
from ..sunk import Sunk, way_aside
from ..words import count_text, direction_text, frame_text, size_text

Floats = NDArray[np.float64]

# Less than this is none, metres.
NOTHING_M = 0.0005
# All but the deepest fiftieth of what planted feet are is how deep they are at most.
MOST = 0.98
_WHY = "the floor is told too high, or it is meant so."


def sunk_event(basis: Basis, sunk: Sunk, *, both: bool) -> RawEvent:
    """A foot that sinks, or both at once: then it is what carries them."""
    to_story, soles = basis.height.to_story, sunk.foot.soles
    sole = soles.sole
    peak = sunk.first + int(np.argmax(sunk.foot.deepest[sunk.first : sunk.last + 1]))
    point = int(np.argmin(sunk.foot.clearance[peak]))
    ground = basis.ground.name(int(soles.which[peak, point]))
    first, last = (frame_text(basis.frames[at]) for at in (sunk.first, sunk.last))
    size = size_text(sunk.depth * to_story)
    usual = ""
    if sunk.usual * to_story >= 10.0 * NOTHING_M:
        usual = f", the shot's feet {size_text(sunk.usual * to_story)} as a rule"
    up = np.array([0.0, 0.0, sunk.depth - sunk.usual])
    aside = np.zeros(3) if both else way_aside(basis, sunk)
    went, back = (_along(basis, way, peak) for way in (aside, -aside))
    return RawEvent(
        check="sink",
        body=basis.lead if both else sole.body,
        first=sunk.first,
        last=sunk.last,
        peak=peak,
        amount=sunk.depth * to_story * 100.0,
        limit=sunk.limit * to_story * 100.0,
        unit="cm",
        visible_m=float(np.linalg.norm(up - aside)),
        step_m=0.0,
        says=(
            f"Both feet go {size} under {ground}, frames {first} to {last}{usual}: the {{who}} "
            "takes them there, or both are keyed so."
            if both
            else f"The {{who}} goes {size} under {ground}{went}, frames {first} to {last}{usual}."
        ),
        suggestion=Suggestion(
            f"Raise {'both feet' if both else '{it}'} by {size_text(up[2] * to_story)}{back} from "
            f"frame {first} to {last}.",
            frame=float(basis.frames[peak]),
            position=basis.positions[peak, sole.body] + up - aside,
            offset=up - aside,
        ),
    )


def _along(basis: Basis, way: Floats, at: int) -> str:
    """` and 4.0 cm back`, or nothing for a foot that goes nowhere."""
    size = float(np.linalg.norm(way))
    if size == 0.0:
        return ""
    where = direction_text(way / size, basis.forward[at])
    return f" and {size_text(size * basis.height.to_story)} {where}"


def on_something(basis: Basis, sunk: Sequence[Sunk]) -> str:
    """Why feet that stand far under a floor that nobody stated are not judged."""
    deepest = max(sunk, key=lambda each: each.depth)
    part = label(basis.bodies[deepest.foot.soles.sole.body].part or "")
    first, last = (frame_text(basis.frames[at]) for at in (deepest.first, deepest.last))
    size = size_text(deepest.depth * basis.height.to_story)
    return (
        f"the {part} stands {size} under where the floor was taken to be, frames {first} to "
        f"{last}, so that something bears it there: declare it, or state the floor"
    )


def good_text(basis: Basis, depths: Floats) -> str:
    """How deep planted feet are at most, of all samples (N,) of planted feet, metres."""
    deepest = max(float(np.quantile(depths, MOST)), 0.0) * basis.height.to_story
    plants = count_text(len(basis.plants), "plant")
    if deepest < NOTHING_M:
        return f"{plants}: no foot goes under what it stands on."
    return f"{plants}: no foot goes more than {size_text(deepest)} under what it stands on."


def all_alike(basis: Basis, usual: float) -> str:
    """Where all feet stand `usual` metres under the floor, or above it (less than 0)."""
    size = size_text(abs(usual) * basis.height.to_story)
    if usual > 0.0:
        return f"All plants lie {size} under the floor alike: {_WHY}"
    return f"All plants lie {size} above the floor alike: {_WHY.replace('high', 'low')}"


def again_and_again(basis: Basis, depths: list[float]) -> str:
    """Where feet sink again and again, so deep each time, metres."""
    size = size_text(float(np.median(depths)) * basis.height.to_story)
    return f"Feet go under the floor {len(depths)} times, each time by about {size}: {_WHY}"
