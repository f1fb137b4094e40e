# SPDX-License-Identifier: GPL-3.0-or-later
"""What the keys say, whatever plays them how fast: prints of their curves, two bytes a limb and
frame of animation.

Where time is remapped, the scene's frames fall between those that were sampled before, so poses
say nothing of whether anything was touched. The curves are the same at every frame of animation.
"""

from collections.abc import Iterable, Mapping
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from ..basis import Basis
from ..curves import Curve
from ..keys.play import values_at
from ..keys.times import weights_at
from ..memory import recalled
from .kept import Keyed
from .prints import limb_title, printed

# Where a clip says how many scene frames one frame of animation takes: a list of one number. Where
# it says nothing that is 1.
TIME_STRETCH = "time_stretch"
# What is smaller than this, in a channel's own unit, is float rounding; round values lie off the
# borders of what is told apart.
FINE, OFF_BORDER = 1e-5, 0.123
# A frame of animation this near to the range's ends is inside.
NEAR = 1e-6


def stretch_of(basis: Basis) -> float:
    """Scene frames for one frame of animation, as time is remapped."""
    told = basis.clip.meta.extra.get(TIME_STRETCH)
    if not isinstance(told, list) or len(told) != 1 or not isinstance(told[0], (int, float)):
        return 1.0
    stretch = float(told[0])
    return stretch if np.isfinite(stretch) and stretch > 0.0 else 1.0


def keyed_of(basis: Basis) -> Keyed | None:
    """The prints of all curves, by the limbs that these move; None where nothing is keyed."""
    stretch = stretch_of(basis)
    first = ceil(basis.frames[0] / stretch - NEAR)
    last = floor(basis.frames[-1] / stretch + NEAR)
    if last < first:
        return None
    at = stretch * np.arange(first, last + 1, dtype=np.float64)
    limbs = {body.name: limb_title(body.part) for body in basis.bodies}
    groups: dict[str, list[NDArray[np.float64]]] = {}
    for curve in sorted(basis.clip.meta.curves, key=_place):
        if not curve.frames:
            continue
        played = recalled(basis.memory, _played, curve, at)
        for limb in _moved(curve.drives, limbs):
            groups.setdefault(limb, []).extend(played)
    told = {limb: printed(_steps(np.stack(rows, axis=-1))) for limb, rows in groups.items()}
    return Keyed(stretch=stretch, first=first, prints=told) if told else None


def _played(curve: Curve, at: NDArray[np.float64]) -> tuple[NDArray[np.float64], ...]:
    """(N,) what a curve is worth on scene frames (N,), and how much of it arrives."""
    return values_at(curve, at), weights_at(curve, at)


def _place(curve: Curve) -> tuple[str, str, str, int, str]:
    return curve.owner, curve.control, curve.data_path, curve.index, curve.strip or ""


def _moved(joints: Iterable[str], limbs: Mapping[str, str]) -> set[str]:
    return {limbs[joint] for joint in joints if joint in limbs}


def _steps(values: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.nan_to_num(values) / FINE + OFF_BORDER
