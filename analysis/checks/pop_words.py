# SPDX-License-Identifier: GPL-3.0-or-later
"""What `pop` says: a sentence for what happened, and one for what to do."""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..words import direction_text, frame_text, size_text

Floats = NDArray[np.float64]
# First, last and peak sample of an event.
Span = tuple[int, int, int]


def pop_words(basis: Basis, span: Span, offset: Floats, home: float) -> tuple[str, str]:
    """The sentence, and the way back onto the path of the neighbours."""
    first, last, peak = span
    size, where, back = _words(basis, offset, peak)
    a, b = frame_text(basis.frames[first]), frame_text(basis.frames[last])
    frames = f"at frame {a}" if first == last else f"over frames {a} to {b}"
    says = f"The {{who}} jumps {size} {where} {frames} and comes back at {frame_text(home)}."
    return says, f"Bring {{it}} {size} {back} {frames}, onto its path."


def step_words(basis: Basis, span: Span, offset: Floats) -> tuple[str, str]:
    """The sentence, and the way to where the path before would have led."""
    before, after, peak = span
    size, where, back = _words(basis, offset, peak)
    a, b = (frame_text(basis.frames[at]) for at in (before, after))
    says = f"The {{who}} jumps {size} {where} from frame {a} to {b} and stays there."
    text = f"Bring {{it}} {size} {back} from frame {b} on, or spread the change over more frames."
    return says, text


def _words(basis: Basis, offset: Floats, peak: int) -> tuple[str, str, str]:
    """How far, which way, and which way back."""
    size = size_text(float(np.linalg.norm(offset)) * basis.height.to_story)
    forward = basis.forward[peak]
    return size, direction_text(offset, forward), direction_text(-offset, forward)
