# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys of what is not the rig itself and moves it: parents, targets, data that drivers read, and
how much of its strips plays."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import bpy

from ...analysis.curves import Curve
from .curves import bone_of, read_curves
from .key_fields import key_fields
from .reach import Reach
from .strips import playing_sources


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


def influence_curves(
    rig: bpy.types.Object, curves: Sequence[Curve], *, stretch: float = 1.0
) -> list[Curve]:
    """Keyed influences of the rig's strips, with the joints that the strips' `curves` drive.

    Their control is the strip; a meta strip's goes for all strips in it.
    """
    told: dict[str, tuple[Any, set[str]]] = {}
    for source in playing_sources(rig):
        for influence in source.influences:
            if influence.curve is not None and len(influence.curve.keyframe_points):
                moved = told.setdefault(influence.strip, (influence.curve, set()))[1]
                moved.update(*(c.drives for c in curves if c.strip == source.strip))
    return [_influence_curve(name, *each, stretch) for name, each in told.items()]


def _influence_curve(strip: str, fcurve: Any, drives: set[str], stretch: float) -> Curve:
    fields = key_fields(fcurve)
    return Curve(
        control=f"{strip} (strip)",
        channel="influence",
        data_path=fcurve.data_path,
        index=0,
        action="",
        strip=strip,
        owner=strip,
        frames=tuple(stretch * frame for frame in fields["action_frames"]),
        time_scale=stretch,
        drives=tuple(sorted(drives)),
        **fields,
    )
