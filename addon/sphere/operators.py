# SPDX-License-Identifier: GPL-3.0-or-later
"""Bake, hide the rest, show it again, remove: each one undo step, each says what it did."""

import bpy

from ...analysis import PlumblineError
from ...analysis.words import count_text, frame_text
from ..ui.operators import refuse
from ..ui.session import session_of
from .bake import Baked, bake_sphere, is_keyed_throughout, refuse_linked
from .choices import NEEDED
from .hand_back.control import control_of
from .hand_back.refusals import why_never
from .hiding import hide_rest, is_hiding, show_again
from .left_over import left_over, remove_left_over
from .meant import is_open, meant_point, meant_sphere, off_text, unseen
from .ours import remove_sphere, spheres_in
from .point import Point


class PLUMBLINE_OT_bake_sphere(bpy.types.Operator):
    """Put a ball with keys of its own on the chosen point of the character: its root, its pelvis, \
its centre of mass or the active control"""

    bl_idname = "plumbline.bake_sphere"
    bl_label = "Bake Sphere"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Sample the rig, write the keys."""
        scene, choices = context.scene, session_of(context).sphere
        error_m = choices.error_m if choices.keys == NEEDED else None
        try:
            refuse_linked(scene)
            rig, point = meant_point(context, choices.on)
            baked = bake_sphere(scene, rig, point, error_m=error_m, rotation=choices.rotation)
        except PlumblineError as error:
            return refuse(self, str(error))
        self.report({"INFO"}, f"{_told(baked, point, error_m)}{unseen(context, baked.sphere)}.")
        control = control_of(scene, baked.sphere, rig)
        if why := why_never(rig, control, choices.hand_into):
            self.report({"WARNING"}, f"It could not be handed back as it is: {why}")
        return {"FINISHED"}


def _told(baked: Baked, point: Point, error_m: float | None) -> str:
    first, last = frame_text(point.frames[0]), frame_text(point.frames[-1])
    many = count_text(baked.keys, "key")
    exact = "one a frame" if error_m is None else f"within {off_text(baked.off_m)}"
    if error_m is not None and is_keyed_throughout(point):
        exact += ", as its control is keyed on every frame, where the path needs them"
    again = ", its older keys replaced" if baked.was_there and not baked.followed else ""
    if baked.kept:
        again = f", its edited keys are kept in the action {baked.kept!r}"
    live = "; it no longer follows the rig" if baked.followed else ""
    return (
        f"{baked.sphere.name!r} goes as {point.where.name} does from frame {first} to {last}: "
        f"{many}, {exact}{again}{live}"
    )


class PLUMBLINE_OT_hide_rest(bpy.types.Operator):
    """Hide all but the sphere and what bears weight; cameras and lights stay"""

    bl_idname = "plumbline.hide_rest"
    bl_label = "Hide the Rest"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only with a sphere to look at."""
        return bool(spheres_in(context.scene))

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Close the eyes of the rest; refuse where nothing would be left to see."""
        try:
            refuse_linked(context.scene)
        except PlumblineError as error:
            return refuse(self, str(error))
        spheres = spheres_in(context.scene)
        if not any(is_open(context, sphere) for sphere in spheres):
            return refuse(
                self,
                f"{spheres[0].name!r} is hidden here, expected to see it: show it in the outliner "
                "first.",
            )
        count = hide_rest(context.view_layer)
        hid = f"Hid {count_text(count, 'object')}" if count else "All else is hidden already"
        self.report({"INFO"}, f"{hid}; Show Again shows what was hidden here.")
        return {"FINISHED"}


class PLUMBLINE_OT_show_again(bpy.types.Operator):
    """Show what Hide the Rest has hidden; what was hidden before stays hidden"""

    bl_idname = "plumbline.show_again"
    bl_label = "Show Again"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only where something is hidden by us."""
        return is_hiding(context.scene)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Open the eyes that were closed."""
        count = show_again(context.scene)
        self.report({"INFO"}, f"Showed {count_text(count, 'object')} again.")
        return {"FINISHED"}


class PLUMBLINE_OT_remove_sphere(bpy.types.Operator):
    """Show the rest again, and delete the sphere with its keys"""

    bl_idname = "plumbline.remove_sphere"
    bl_label = "Remove Sphere"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only where there is a sphere, or something is left of one that was deleted."""
        return bool(spheres_in(context.scene) or left_over(context.scene))

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Delete what was made, and nothing else."""
        scene = context.scene
        try:
            refuse_linked(scene)
            sphere = meant_sphere(context) if spheres_in(scene) else None
        except PlumblineError as error:
            return refuse(self, str(error))
        show_again(scene)
        if sphere is None:
            told = remove_left_over(scene)
        else:
            told = f"Removed {sphere.name!r}."
            remove_sphere(scene, sphere)
            remove_left_over(scene)
        self.report({"INFO"}, told)
        return {"FINISHED"}
