# SPDX-License-Identifier: GPL-3.0-or-later
"""What `camera_jump` says: a sentence for what happened, and one for what to do."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..words import frame_text

Floats = NDArray[np.float64]

# A step this large, in per cent of the picture's height, may be meant as a cut.
CUT = 20.0


@dataclass(frozen=True, eq=False)
class Told:
    """What happened on samples first..last (of a step: the last before it, the first after).

    offsets (P,2)   how far points of the picture are off, per cent of its height
    spots (P,2)     where they stand on the picture, per cent of its height
    causes          what of the camera does it: position, turn, lens
    stays           whether the picture goes on elsewhere
    """

    first: int
    last: int
    offsets: Floats
    spots: Floats
    causes: tuple[str, ...]
    stays: bool


def told_in_words(basis: Basis, told: Told) -> tuple[str, str]:
    """The sentence for what happened, and one for what to do."""
    a, b = (frame_text(basis.frames[at]) for at in (told.first, told.last))
    named = " and ".join(told.causes)
    does = "do" if len(told.causes) > 1 else "does"
    by = f"the camera's {named} {does} it"
    what = _what(told)
    if told.stays:
        says = f"The picture {what} from frame {a} to {b} and stays so: {by}."
        return says, _step_advice(told, named, b)
    after = 2.0 * basis.frames[told.last] - basis.frames[told.last - 1]
    frames = f"at frame {a}" if told.first == told.last else f"over frames {a} to {b}"
    says = f"The picture {what} {frames} and comes back at {frame_text(after)}: {by}."
    return says, f"Delete or move the stray key of the camera's {named} {frames}."


def _step_advice(told: Told, named: str, frame: str) -> str:
    if np.linalg.norm(told.offsets, axis=-1).max() >= CUT:
        return (
            "If it is meant as a cut, bind a camera to a marker on frame "
            f"{frame}; else spread the change of the camera's {named} over more frames."
        )
    return f"Spread the change of the camera's {named} over more frames, or take it back."


def _what(told: Told) -> str:
    """How the picture moves: shifted, grown, or tilted, whichever moves its points furthest."""
    from_middle = told.spots - told.spots.mean(axis=0)
    across = np.stack((-from_middle[:, 1], from_middle[:, 0]), axis=-1)
    square, edge = float((from_middle**2).sum()), float(np.linalg.norm(from_middle, axis=-1).max())
    shift = told.offsets.mean(axis=0)
    grows = float((told.offsets * from_middle).sum()) / square
    tilts = float((told.offsets * across).sum()) / square
    size = _percent(float(np.linalg.norm(told.offsets, axis=-1).max()))
    if np.linalg.norm(shift) >= edge * max(abs(grows), abs(tilts)):
        return f"jumps {size} of its height {_direction(shift)}"
    if abs(grows) >= abs(tilts):
        return f"{'grows' if grows > 0.0 else 'shrinks'} by {size} of its height at its edges"
    way = "left" if tilts > 0.0 else "right"
    return f"tilts by {np.degrees(abs(tilts)):.1f} degrees to the {way}"


def _percent(size: float) -> str:
    return f"{size:.1f} %" if size < 9.95 else f"{size:.0f} %"


def _direction(shift: Floats) -> str:
    """The main direction on the picture, and a second one at least half as large."""
    sideways = "to the right" if shift[0] > 0.0 else "to the left"
    upright = "up" if shift[1] > 0.0 else "down"
    across, up = abs(float(shift[0])), abs(float(shift[1]))
    if across >= up:
        return f"{sideways} and {upright}" if up >= 0.5 * across else sideways
    return f"{upright} and {sideways}" if across >= 0.5 * up else upright
