# SPDX-License-Identifier: GPL-3.0-or-later
"""What `straight_run` says."""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..evidence import Suggestion
from ..run_paths import Track
from ..words import capital, direction_text, frame_text

Floats = NDArray[np.float64]


def run_words(basis: Basis, track: Track, first: int, last: int, control: str | None) -> str:
    """The sentence for what happened from sample `first` to `last`."""
    a, b = (frame_text(basis.frames[at]) for at in (first, last))
    keys = f", on linear keys of {control}" if control else ""
    if track.kind == "turn":
        return (
            f"The {{who}} turns evenly from frame {a} to {b} and changes its pace at once at "
            f"both ends{keys}."
        )
    seen = ", against what carries it," if track.kind == "carried" else ""
    return (
        f"The {{who}} runs{seen} in a straight, even line from frame {a} to {b} and turns at "
        f"once at both ends{keys}."
    )


def run_advice(
    basis: Basis,
    track: Track,
    ends: tuple[int, int],
    worst: int,
    offset: Floats,
    control: str | None,
) -> Suggestion:
    """Where the arc would pass, or which keys to ease."""
    a, b = (frame_text(basis.frames[at]) for at in ends)
    handles = f"give the keys of {control or 'its control'} at frames {a} and {b} smooth handles"
    frame = float(basis.frames[worst])
    if track.kind != "world":
        return Suggestion(f"{capital(handles)}.", frame=frame)
    size = basis.size_text(float(np.linalg.norm(offset)))
    where = direction_text(offset, basis.forward[worst])
    return Suggestion(
        f"Let {{it}} pass {size} further {where} at frame {frame_text(frame)}, or {handles}.",
        frame=frame,
        position=basis.marks[worst, track.body, track.mark] + offset,
        offset=offset,
    )
