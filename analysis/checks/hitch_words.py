# SPDX-License-Identifier: GPL-3.0-or-later
"""What `hitch` says: a sentence for what happened, and one for what to do."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..ends import Ends
from ..parts import label
from ..words import count_text, direction_text, frame_text

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Told:
    """A point that is dead on samples first..last, worst at `peak`.

    ahead   (3,) metres from where it is at the peak to where it should be
    after   whether it catches up afterwards; else it jumps ahead and waits
    shown   the body that shows most that the whole figure sticks; None where it does not
    against what it is still against, as a body of the basis; None for the world
    """

    first: int
    last: int
    peak: int
    ahead: Floats
    after: bool
    shown: int | None
    against: int | None


def told_in_words(basis: Basis, told: Told) -> tuple[str, str]:
    """The sentence for what happened, and one for what to do."""
    a, b = (frame_text(basis.frames[at]) for at in (told.first, told.last))
    count = count_text(told.last - told.first + 1, "frame")
    when = f"for {count}, {a}," if told.first == told.last else f"for {count} from {a} to {b}"
    size = basis.size_text(float(np.linalg.norm(told.ahead)))
    who = "The {who}" if told.shown is None else "The whole body"
    at = "" if told.shown is None else f" at the {_name(basis, told.shown)}"
    way = direction_text(told.ahead, basis.forward[told.peak])
    if told.after:
        says = f"{who} {_sticks(basis, told)} {when} and then catches up {size}{at} at once."
    else:
        stays = "waits there" if told.against is None else f"{_sticks(basis, told)}"
        says = f"{who} jumps {size} ahead{at} and then {stays} {when.rstrip(',')}."
    mend = (
        f"At frame {frame_text(basis.frames[told.peak])} {{it}} should be {size} further {way}: "
        "delete the doubled or flat key there, or spread the move evenly."
    )
    return says, mend


def _sticks(basis: Basis, told: Told) -> str:
    if told.against is None:
        return "sticks"
    return f"stands still against the {_name(basis, told.against)}"


def _name(basis: Basis, body: int) -> str:
    part = basis.bodies[body].part
    return label(part) if part else basis.bodies[body].name


def good_text(basis: Basis, ends: Ends, edge: int) -> str:
    """What holds where nothing sticks; `edge` samples at either end are judged in loops only."""
    loop = ends.judged[0] == 0
    judged = ends.judged if loop else (edge, ends.length - 1 - edge)
    first, last = (frame_text(basis.frames[at]) for at in judged)
    known = "" if basis.valid.all() else ", as far as it is known"
    return f"No point sticks and catches up from frame {first} to {last}{known}."
