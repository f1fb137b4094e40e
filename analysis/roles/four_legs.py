# SPDX-License-Identifier: GPL-3.0-or-later
"""Whether a rig whose bones bear a figure's names goes on four legs: then it is no figure here.

Riggers call a cat's forelegs arms and hands, so names alone do not tell.
"""

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from ..parts import SIDES
from .names import is_filler

Floats = NDArray[np.float64]

_LIMB = {"thigh", "leg", "upleg", "shin", "calf", "knee", "foot"}
_PAIR = {"front", "hind", "rear"}
_GLUED = {f"{pair}{limb}" for pair in ("fore", "front", "hind", "rear") for limb in ("leg", "paw")}
# Cosines: legs within about 53 degrees of each other, the trunk not straight above them.
ALIKE, UPRIGHT = 0.6, -0.6


def names_four_legs(names: Iterable[Sequence[str]]) -> bool:
    """Whether names (as words, without affixes) tell a front leg from a hind leg."""
    for words in names:
        told = {word for word in words if not is_filler(word)}
        if told and told <= _GLUED:
            return True
        if len(told) == 2 and told & _PAIR and told & _LIMB and told != {"front", "foot"}:
            return True
    return False


def stands_on_four(parts: Mapping[str, int], rest: Floats) -> bool:
    """Whether arms point where legs do while the trunk lies across, however the rig is turned.

    parts   part -> joint; rest (J,3). False where too few of them are known to tell.
    """
    legs = _limbs(parts, rest, ("thigh", "shin", "foot"))
    arms = _limbs(parts, rest, ("upper_arm", "forearm", "hand"))
    low = _first(parts, ("pelvis", "root", "spine.1"))
    high = _first(parts, ("chest", "neck", "head"))
    if legs is None or arms is None or low is None or high is None:
        return False
    trunk = _unit(rest[high] - rest[low])
    return bool(arms @ legs > ALIKE and trunk @ legs > UPRIGHT)


def _limbs(parts: Mapping[str, int], rest: Floats, kinds: Sequence[str]) -> Floats | None:
    """(3,) the mean way of both limbs, from the body to the last joint known."""
    ways = []
    for side in SIDES:
        joints = [parts[name] for kind in kinds if (name := f"{kind}.{side}") in parts]
        if len(joints) < 2:
            return None
        ways.append(_unit(rest[joints[-1]] - rest[joints[0]]))
    return _unit(ways[0] + ways[1])


def _first(parts: Mapping[str, int], kinds: Sequence[str]) -> int | None:
    return next((parts[kind] for kind in kinds if kind in parts), None)


def _unit(vector: Floats) -> Floats:
    return np.asarray(vector / max(float(np.linalg.norm(vector)), 1e-12))
