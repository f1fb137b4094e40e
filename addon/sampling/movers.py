# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys of what is not the rig itself and moves it: parents, targets, data that drivers read."""

from dataclasses import replace
from typing import Any

import bpy

from ...analysis.curves import Curve
from .curves import bone_of, read_curves
from .reach import Reach


def curves_beside(
    rig: bpy.types.Object, reach: Reach, *, stretch: float = 1.0
) -> list[tuple[Any, Curve]]:
    """(block, curve) of everything else that the rig depends on and that is keyed.

    Their controls carry a mark where a bone of the rig, or the rig, has the name already.
    """
    found = []
    for block in reach.blocks:
        if block != rig:
            for curve in read_curves(block, stretch=stretch):
                named = replace(curve, control=_control(rig, block, curve), owner=block.name)
                found.append((block, named))
    return found


def _control(rig: bpy.types.Object, block: Any, curve: Curve) -> str:
    if bone_of(curve.data_path) is not None:
        return f"{curve.control} of {block.name}"
    kind = "object" if isinstance(block, bpy.types.Object) else "data"
    taken = block.name == rig.name or block.name in rig.pose.bones
    return f"{block.name} ({kind})" if taken or kind == "data" else str(block.name)
