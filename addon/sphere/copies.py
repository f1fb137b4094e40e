# SPDX-License-Identifier: GPL-3.0-or-later
"""How the upright copies of a ball are turned: the same value while nothing changes."""

from typing import Any

import bpy
import numpy as np

from ...analysis.ball.turned import Turned
from .ours import SPHERE_OF, spheres_in, uprights_of
from .upright import AHEAD, SIDE, axis_of, turned_of

# What `BallArc` calls the axes.
_NAMES = {SIDE: "side", AHEAD: "ahead"}

# (axis, how it is turned) of each copy.
Copies = tuple[tuple[str, Turned], ...]
# The last ones, after what they hang on.
_known: list[tuple[Any, Copies]] = []


def copies_of(scene: bpy.types.Scene, rig: str) -> Copies:
    """Those of the ball of a rig, told by its full name; one object while they are the same."""
    balls = [each for each in spheres_in(scene) if each[SPHERE_OF] == rig]
    found = [
        (_NAMES[axis_of(copy)], turned_of(copy))
        for ball in balls[:1]
        for copy in uprights_of(scene, ball)
    ]
    key = tuple((axis, _numbers(turned)) for axis, turned in found)
    if not _known or _known[0][0] != key:
        _known[:] = [(key, tuple(found))]
    return _known[0][1]


def _numbers(turned: Turned) -> bytes:
    arrays = (turned.rotation, turned.about, turned.beside, turned.drift, turned.first)
    return b"".join(np.asarray(each, dtype=np.float64).tobytes() for each in arrays)
