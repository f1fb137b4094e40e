# SPDX-License-Identifier: GPL-3.0-or-later
"""What `straight_run` says."""

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..cause import NamedKey
from ..causes.groups import TRANSFORMS
from ..curves import Curve
from ..evidence import Suggestion
from ..linear_keys import is_keyed_inside
from ..linear_runs import LinearRun
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
    curve: Curve | None,
) -> Suggestion:
    """Where the arc would pass, or which keys to ease."""
    control = curve.control if curve else None
    key = _key_of(curve, float(basis.frames[ends[0]])) if curve else None
    a, b = (frame_text(basis.frames[at]) for at in ends)
    eased = f"give the keys of {control or 'its control'} at frames {a} and {b} smooth handles"
    if control is None and is_keyed_inside(basis, track.body, *basis.frames[list(ends)]):
        eased = f"space its keys over frames {a} to {b} anew, closer at both ends"
    frame = float(basis.frames[worst])
    if track.kind != "world":
        return Suggestion(f"{capital(eased)}.", frame=frame, key=key)
    size = basis.size_text(float(np.linalg.norm(offset)))
    where = direction_text(offset, basis.forward[worst])
    return Suggestion(
        f"Let {{it}} pass {size} further {where} at frame {frame_text(frame)}, or {eased}.",
        frame=frame,
        position=basis.marks[worst, track.body, track.mark] + offset,
        offset=offset,
        key=key,
    )


def _key_of(curve: Curve, frame: float) -> NamedKey:
    """The curve's key that is nearest to a frame, to be smooth."""
    nearest = min(curve.frames, key=lambda each: abs(each - frame))
    prop = curve.channel.rpartition(".")[0]
    group = prop if prop in TRANSFORMS else curve.channel
    return NamedKey(curve.control, group, nearest, "smooth")


def linear_words(basis: Basis, lone: LinearRun) -> str:
    """The sentence for a lone linear key."""
    a, b = (frame_text(basis.frames[at]) for at in (lone.first, lone.last))
    return (
        f"The {{who}} is {basis.size_text(lone.size)} off a smooth way between frames {a} and {b}: "
        f"the key of {lone.control} on frame {a} ({lone.group}) is linear."
    )


def linear_advice(basis: Basis, lone: LinearRun) -> Suggestion:
    """Smooth handles, and where these would take the point."""
    a, frame = frame_text(basis.frames[lone.first]), float(basis.frames[lone.peak])
    size = basis.size_text(lone.size)
    where = direction_text(lone.offset, basis.forward[lone.peak])
    return Suggestion(
        f"Set the key of {lone.control} on frame {a} ({lone.group}) to Bezier with smooth handles: "
        f"{{it}} passes {size} further {where} at frame {frame_text(frame)} then.",
        frame=frame,
        position=basis.marks[lone.peak, lone.body, lone.mark] + lone.offset,
        offset=lone.offset,
        key=NamedKey(lone.control, lone.group, float(basis.frames[lone.first]), "smooth"),
    )
