# SPDX-License-Identifier: GPL-3.0-or-later
"""What `torso_break` says."""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..parts import label
from ..spine import Spine
from ..spine_breaks import JOINT, REACH, Break
from ..words import frame_text

Floats = NDArray[np.float64]

# Of a bend forward, of one to a side, and of a twist; and what each is called.
_DOES = ("bends", "bends", "twists")
_WAYS = (
    ("forward", "back"),
    ("to its left", "to its right"),
    ("to its left", "to its right"),
)


def way_of(bend: Floats) -> tuple[str, str]:
    """The main direction of a bend (3,), as the figure sees it: what it does, and which way."""
    axis = int(np.argmax(np.abs(bend)))
    return _DOES[axis], _WAYS[axis][0 if bend[axis] > 0.0 else 1]


def told(basis: Basis, spine: Spine, found: Break) -> tuple[str, str]:
    """The sentence for what happened, and one for what to do."""
    first, last = (frame_text(basis.frames[at]) for at in (found.first, found.last))
    when = f"from frame {first} to {last}" if first != last else f"at frame {first}"
    at = frame_text(basis.frames[found.peak])
    if found.kind == JOINT:
        return _joint(spine, found, when, at)
    if found.kind == REACH:
        return _reach(found, when, at)
    return _stretch(basis, spine, found, when)


def _joint(spine: Spine, found: Break, when: str, at: str) -> tuple[str, str]:
    (does, way), size = way_of(found.bend), f"{found.amount:.0f} degrees"
    says = f"The {{who}} {does} {size} further {way} than the rest of the spine {when}."
    each = f"{found.amount / len(spine.bodies):.0f}"
    advice = (
        f"Take about {size} out of {{it}} at frame {at}, or spread them over the "
        f"{len(spine.bodies)} joints of the spine ({each} each)."
    )
    return says, advice


def _reach(found: Break, when: str, at: str) -> tuple[str, str]:
    (does, way), over = way_of(found.bend), found.amount - found.limit
    says = (
        f"The {{who}} {does} {found.amount:.0f} degrees {way} against the hips {when}: "
        "further than a back goes."
    )
    advice = (
        f"Let the hips turn with {{it}}, or take {over:.0f} degrees or more out of {{it}} at "
        f"frame {at}."
    )
    return says, advice


def _stretch(basis: Basis, spine: Spine, found: Break, when: str) -> tuple[str, str]:
    gap = float(found.bend[0])
    low = ([spine.base, *spine.bodies])[found.place]
    name = label(basis.bodies[low].part or "root")
    does = "stretches" if gap > 0.0 else "shrinks"
    says = (
        f"The spine {does} by {100.0 * abs(found.amount):.0f} % between {name} and {{who}} "
        f"{when}: {basis.size_text(abs(gap))}."
    )
    nearer = "back to" if gap > 0.0 else "away from"
    advice = (
        f"Move {{it}} {basis.size_text(abs(gap))} {nearer} the {name} at frame "
        f"{frame_text(basis.frames[found.peak])}, or let what is above it go with the hips."
    )
    return says, advice


def joined(names: list[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
