# SPDX-License-Identifier: GPL-3.0-or-later
"""What the user drew with Blender's annotation tool: targets for the motion, frame by frame."""

from typing import Any

import bpy

from .scene_facts import metres_per_unit

# Of a stroke no more points than these are kept: a drawn line has hundreds.
MOST_POINTS = 48
Stroke = tuple[tuple[float, float, float], ...]


def strokes_on(scene: bpy.types.Scene, frame: float) -> tuple[Stroke, ...]:
    """The strokes drawn on a frame, in the world, metres; what is drawn on the screen has no place
    in the world and is left out, and so is what was drawn earlier and is still shown."""
    # 5.0 renamed them.
    drawn: Any = getattr(scene, "annotation", None) or getattr(scene, "grease_pencil", None)
    unit = metres_per_unit(scene)
    return tuple(
        _points(stroke, unit)
        for layer in (drawn.layers if drawn is not None else ())
        if not layer.annotation_hide and not layer.is_ruler
        for each in layer.frames
        if each.frame_number == round(frame)
        for stroke in each.strokes
        if stroke.display_mode == "3DSPACE" and len(stroke.points) > 1
    )


def _points(stroke: Any, unit: float) -> Stroke:
    """Its points, evenly fewer where there are many; the ends stay."""
    last = len(stroke.points) - 1
    count = min(last, MOST_POINTS - 1)
    chosen = (stroke.points[round(last * at / count)].co for at in range(count + 1))
    return tuple((co[0] * unit, co[1] * unit, co[2] * unit) for co in chosen)
