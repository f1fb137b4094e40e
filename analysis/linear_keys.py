# SPDX-License-Identifier: GPL-3.0-or-later
"""Which control's keys are linear: read from the curves that a clip carries, never guessed."""

from collections.abc import Iterator
from itertools import pairwise

from .basis import Basis
from .curves import Curve

# Keys this near to a run's ends (frames) are its keys.
NEAR_FRAMES = 1.0
# Keys on so many of the frames between two are keys on most of them.
DENSE = 0.5
# Values that differ by less are level: nothing moves there.
LEVEL = 1e-9


def has_linear_keys(basis: Basis) -> bool:
    """Whether any curve of the clip has linear keys between which something moves."""
    return any(True for curve in basis.clip.meta.curves for _ in _linear(curve))


def linear_curve(basis: Basis, body: int, first: float, last: float) -> Curve | None:
    """The curve whose linear keys move a body from frame `first` to `last`, or None.

    A channel must have linear keys at both frames, or run linearly beyond them, and its control
    must drive the body's joint; of several controls the one that drives the fewest joints.
    """
    joint = basis.bodies[body].name
    fitting = [
        curve
        for curve in basis.clip.meta.curves
        if joint in curve.drives and _moves_linearly(curve, first, last)
    ]
    return min(fitting, key=lambda curve: len(curve.drives)) if fitting else None


def is_keyed_inside(basis: Basis, body: int, first: float, last: float) -> bool:
    """Whether keys of what drives a body lie on most frames from `first` to `last`.

    Handles at both ends of such a stretch are nobody's to smooth: its keys make it even.
    """
    joint, needed = basis.bodies[body].name, DENSE * (last - first - 1.0)
    return any(
        joint in curve.drives and sum(first < frame < last for frame in curve.frames) >= needed > 0
        for curve in basis.clip.meta.curves
    )


def _moves_linearly(curve: Curve, first: float, last: float) -> bool:
    return any(a <= first + NEAR_FRAMES and b >= last - NEAR_FRAMES for a, b in _linear(curve))


def _linear(curve: Curve) -> Iterator[tuple[float, float]]:
    """Frames from key to key between which a channel goes linearly, and somewhere."""
    keys = zip(curve.frames, curve.values, curve.interpolation, strict=True)
    for (start, value, kind), (end, there, _kind) in pairwise(keys):
        if kind == "LINEAR" and abs(there - value) > LEVEL:
            yield start, end
