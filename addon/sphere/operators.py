# SPDX-License-Identifier: GPL-3.0-or-later
"""Bake, hide the rest, show it again, remove: each one undo step, each says what it did."""

from typing import Any

import bpy

from ...analysis import PlumblineError
from ...analysis.words import count_text, frame_text
from ..sampling import sample
from ..ui.operators import chosen_rig, refuse
from ..ui.session import session_of
from .bake import bake_sphere, refuse_linked, root_path
from .hiding import hide_rest, is_hiding, show_again
from .ours import SPHERE_OF, remove_sphere, sphere_of, spheres_in


class PLUMBLINE_OT_bake_sphere(bpy.types.Operator):
    """Put a ball on the character's root, with a key on every frame that plays"""

    bl_idname = "plumbline.bake_sphere"
    bl_label = "Bake Sphere"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Sample the rig, write the keys."""
        scene = context.scene
        try:
            refuse_linked(scene)
            rig = _meant_rig(context)
            (clip,) = sample(scene, [rig], props=())
            path = root_path(clip)
            sphere, known = bake_sphere(scene, rig, path)
        except PlumblineError as error:
            return refuse(self, str(error))
        first, last = frame_text(path.frames[0]), frame_text(path.frames[-1])
        again = ", its older keys replaced" if known else ""
        told = f"{sphere.name!r} follows {path.joint!r} from frame {first} to {last}{again}"
        self.report({"INFO"}, f"{told}{_unseen(context, sphere)}.")
        return {"FINISHED"}


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
        if not any(_is_seen(context, sphere) for sphere in spheres):
            return refuse(
                self,
                f"{spheres[0].name!r} is hidden here, expected to see it: show it in the outliner, "
                "or leave local view, first.",
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
        """Only where there is a sphere."""
        return bool(spheres_in(context.scene))

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Delete what was made, and nothing else."""
        scene = context.scene
        try:
            refuse_linked(scene)
            sphere = _meant_sphere(context)
        except PlumblineError as error:
            return refuse(self, str(error))
        name = sphere.name
        show_again(scene)
        remove_sphere(scene, sphere)
        self.report({"INFO"}, f"Removed {name!r}.")
        return {"FINISHED"}


def _meant_rig(context: bpy.types.Context) -> bpy.types.Object:
    """The rig of the sphere that is active; else the one that Check takes."""
    active = context.object
    if active in spheres_in(context.scene):
        rig = next((o for o in context.scene.objects if o.name_full == active[SPHERE_OF]), None)
        if rig is not None and rig.type == "ARMATURE":
            return rig
    return chosen_rig(context, session_of(context).rig)


def _meant_sphere(context: bpy.types.Context) -> bpy.types.Object:
    """The active sphere, else the only one, else that of the rig which Check takes."""
    spheres = spheres_in(context.scene)
    if context.object in spheres:
        return context.object
    if len(spheres) == 1:
        return spheres[0]
    rig = chosen_rig(context, session_of(context).rig)
    sphere = sphere_of(context.scene, rig)
    if sphere is None:
        raise PlumblineError(
            f"there is no sphere of {rig.name!r} among {len(spheres)} spheres, expected one: "
            "select the sphere that is to go."
        )
    return sphere


def _is_seen(context: bpy.types.Context, sphere: bpy.types.Object) -> bool:
    space: Any = context.space_data
    if space is not None and space.type == "VIEW_3D":
        return bool(sphere.visible_in_viewport_get(space))
    return bool(sphere.visible_get())


def _unseen(context: bpy.types.Context, sphere: bpy.types.Object) -> str:
    context.view_layer.update()
    return "" if _is_seen(context, sphere) else "; it is hidden here"
