# SPDX-License-Identifier: GPL-3.0-or-later
"""What `pop` says: a sentence for what happened, and one for what to do."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..words import direction_text, frame_text

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Told:
    """What happened: on first..last, worst at `peak`, a point was `offset` (3,) metres off.

    twist_deg   the twist that shows so, where only the side of a body left its path; else 0
    home        the frame on which the point is back on its path; None where it stays off
    moved       (3,) metres that it went from the sample before to the peak
    """

    first: int
    last: int
    peak: int
    offset: Floats
    moved: Floats
    twist_deg: float = 0.0
    home: float | None = None


def told_in_words(basis: Basis, told: Told) -> tuple[str, str]:
    """The sentence for what happened, and one for what to do."""
    if told.home is None:
        return _step_words(basis, told)
    a, b = (frame_text(basis.frames[at]) for at in (told.first, told.last))
    frames = f"at frame {a}" if told.first == told.last else f"over frames {a} to {b}"
    home = f"and comes back at {frame_text(told.home)}."
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
