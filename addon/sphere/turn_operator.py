# SPDX-License-Identifier: GPL-3.0-or-later
"""Turn upright, and away again: each one undo step, each says what it did."""

from typing import Any

import bpy
import numpy as np

from ...analysis import PlumblineError
from ..ui.operators import refuse
from ..ui.redraw import redraw_viewports
from ..ui.session import session_of
from .bake import refuse_linked
from .facts import follows, frames_of, place_of
from .hiding import is_hiding, show_in_local_views
from .meant import meant_sphere
from .ours import remove_upright, rig_of_ball, spheres_in
from .path import ball_path
from .point import find_point
from .upright import AHEAD, SIDE, copy_of, make_upright, place_uprights

# Which arcs are listed of a copy that was turned.
AXES = {SIDE: "side", AHEAD: "ahead"}


class PLUMBLINE_OT_turn_upright(bpy.types.Operator):
    """Show the ball's path turned upright, live above the true one, so that it reads as a bounce: \
the extreme to the side is the top of the arc; pressed again, it goes"""

    bl_idname = "plumbline.turn_upright"
    bl_label = "Turn Upright"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    axis: bpy.props.EnumProperty(
        name="Axis",
        description="Which way goes up and down",
        items=[
            (SIDE, "Side to Side", "What goes to the left goes up"),
            (AHEAD, "Ahead and Back", "What gains on the mean travel goes up"),
        ],
    )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only where there is a ball."""
        return bool(spheres_in(context.scene))

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Make the copy, or take it away."""
        scene = context.scene
        try:
            refuse_linked(scene)
            sphere = meant_sphere(context)
            known = copy_of(scene, sphere, self.axis)
            path = path_of(scene, sphere)
        except PlumblineError as error:
            return refuse(self, str(error))
        if known is None:
            name = make_upright(scene, sphere, self.axis).name
        else:
            name = known.name
            remove_upright(scene, known)
        place_uprights(scene, sphere, *path)
        session_of(context).arcs.axis = AXES[self.axis]
        redraw_viewports(context)  # of which one shows the ball's path as its copies go
        if is_hiding(scene):
            show_in_local_views(context.view_layer)
        told = (
            f"{name!r} shows it above the ball as a bounce"
            if known is None
            else f"Removed {name!r}"
        )
        self.report({"INFO"}, f"{told}.")
        return {"FINISHED"}


def path_of(scene: bpy.types.Scene, sphere: bpy.types.Object) -> tuple[Any, Any]:
    """(T,) scene frames and (T,3) metres of a ball, as its keys or its rig are now.

    Of a ball that follows, the rig is sampled. Raises PlumblineError where it cannot be.
    """
    if not follows(sphere):
        first, last = frames_of(sphere) or (scene.frame_start, scene.frame_end)
        frames = np.arange(first, last + 1, dtype=np.float64)
        return frames, ball_path(scene, sphere, frames)
    rig, place = rig_of_ball(scene, sphere), place_of(sphere)
    if rig is None:
        raise PlumblineError(
            f"the rig of {sphere.name!r} is gone, expected one that it follows: remove the sphere."
        )
    point = find_point(scene, rig, place["what"].upper(), place["joint"])
    return point.frames, point.positions
