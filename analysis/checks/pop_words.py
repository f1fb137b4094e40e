# SPDX-License-Identifier: GPL-3.0-or-later
"""What `pop` says: a sentence for what happened, and one for what to do."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..parts import ARM, LEG, split_part
from ..words import direction_text, frame_text

Floats = NDArray[np.float64]

# A knee that a pole throws goes so far, as a share of what its shin or thigh shows; hip and ankle
# go no further than this share of the knee's way.
THROWN, STILL = 0.25, 0.25
# What throws it: joints of a leg, and of an arm, by the bones that begin there.
_LIMBS = {
    **dict.fromkeys(("thigh", "shin"), (LEG[:3], "Hip and ankle stay", "knee")),
    **dict.fromkeys(("upper_arm", "forearm"), (ARM[1:], "Shoulder and wrist stay", "elbow")),
}


@dataclass(frozen=True, eq=False)
class Told:
    """What happened: on first..last, worst at `peak`, a point was `offset` (3,) metres off.

    body        whose point
    twist_deg   the twist that shows so, where only the side of a body left its path; else 0
    home        the frame on which the point is back on its path; None where it stays off
    moved       (3,) metres that it went from the sample before to the peak
    """

    body: int
    first: int
    last: int
    peak: int
    offset: Floats
    moved: Floats
    twist_deg: float = 0.0
    home: float | None = None


def told_in_words(basis: Basis, told: Told) -> tuple[str, str]:
    """The sentence for what happened, and one for what to do."""
    home = told.home
    return _step_words(basis, told) if home is None else _jump_words(basis, told, home)


def _jump_words(basis: Basis, told: Told, back_at: float) -> tuple[str, str]:
    """A point that leaves its path and comes back to it."""
    a, b = (frame_text(basis.frames[at]) for at in (told.first, told.last))
    frames = f"at frame {a}" if told.first == told.last else f"over frames {a} to {b}"
    home = f"and comes back at {frame_text(back_at)}."
    if told.twist_deg:
        says = f"The {{who}} twists by about {told.twist_deg:.0f} degrees {frames} {home}"
        return says, f"Turn {{it}} back by {told.twist_deg:.0f} degrees {frames}."
    size, where, back = _words(basis, told)
    says = f"The {{who}} jumps {size} {where} {frames} {home}"
    return says, f"Bring {{it}} {size} {back} {frames}, onto its path."


def _step_words(basis: Basis, told: Told) -> tuple[str, str]:
    """A path that goes on elsewhere: further than it should, or short of it."""
    a, b = (frame_text(basis.frames[at]) for at in (told.first, told.last))
    if told.twist_deg:
        says = f"The {{who}} twists by about {told.twist_deg:.0f} degrees from frame {a} to {b}"
        text = f"Turn {{it}} back by {told.twist_deg:.0f} degrees from frame {b} on"
        return f"{says} and stays so.", f"{text}, or spread the change over more frames."
    size, where, back = _words(basis, told)
    expected = told.moved - told.offset
    if np.linalg.norm(told.moved) < np.linalg.norm(expected):
        says = f"The {{who}} hangs from frame {a} to {b} and goes on {size} short of its path."
        return says, f"Look for a doubled or flat key of {{it}} at frame {a} or {b}."
    says = f"The {{who}} jumps {size} {where} from frame {a} to {b} and stays there."
    text = f"Bring {{it}} {size} {back} from frame {b} on, or spread the change over more frames."
    return says, text


def _words(basis: Basis, told: Told) -> tuple[str, str, str]:
    """How far, which way, and which way back."""
    size = basis.size_text(float(np.linalg.norm(told.offset)))
    forward = basis.forward[told.peak]
    return size, direction_text(told.offset, forward), direction_text(-told.offset, forward)


def pole_words(basis: Basis, told: Told) -> str:
    """What to look at where a knee or elbow is thrown about and the ends of its limb stay."""
    kind, side = split_part(basis.bodies[told.body].part or "")
    if kind not in _LIMBS:
        return ""
    parts, stay, joint = _LIMBS[kind]
    bodies = [basis.body(f"{part}.{side}") for part in parts]
    known = [body for body in bodies if body is not None]
    near = slice(max(told.first - 2, 0), told.last + 3)
    if len(known) < len(parts) or not basis.valid[near][:, known].all():
        return ""
    upper, thrown, end = (_off_way(basis.marks[:, body, 0], told) for body in known)
    if thrown < THROWN * float(np.linalg.norm(told.offset)) or max(upper, end) > STILL * thrown:
        return ""
    return f"{stay} on their paths: look first at the {joint}'s pole, or what else points it."


def _off_way(path: Floats, told: Told) -> float:
    """How far a joint's path (T,3) is off what two samples on either side lead to, metres; of one
    that does not come back, how much more it goes from `first` to `last` than in the steps beside.
    """
    first, last = told.first, told.last
    if told.home is None:
        beside = [path[at] - path[at - 1] for at in (first, last + 1) if 0 < at < len(path)]
        usual = np.mean(beside, axis=0) * (last - first) if beside else np.zeros(3)
        return float(np.linalg.norm(path[last] - path[first] - usual))
    known = [at for at in (first - 2, first - 1, last + 1, last + 2) if 0 <= at < len(path)]
    if len(known) < 4:
        return 0.0
    inside = np.arange(first, last + 1)
    middle = 0.5 * (first + last)
    cubic = np.linalg.solve(np.vander(np.array(known) - middle, 4), path[known])
    off = path[inside] - np.vander(inside - middle, 4) @ cubic
    return float(np.linalg.norm(off, axis=-1).max())
