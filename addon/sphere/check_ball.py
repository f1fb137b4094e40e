# SPDX-License-Identifier: GPL-3.0-or-later
"""Who is checked: the ball, or its figure again."""

import bpy

from ..ui.redraw import redraw_viewports
from ..ui.session import session_of
from .checked import figure_of, rig_name_of
from .meant import active_ball
from .ours import spheres_in


def ball_here(context: bpy.types.Context) -> bpy.types.Object | None:
    """The ball that the panel is about: the active one, else that which is checked, else that of
    the rig that is meant; where none is meant the first. None where there is none."""
    spheres, scene = spheres_in(context.scene), context.scene
    active, rig = active_ball(context), _rig_meant(context)
    found = [] if active is None else [active]
    found += [each for each in spheres if each.name_full == session_of(context).rig]
    if rig is not None and rig not in spheres:
        spheres = [each for each in spheres if rig_name_of(scene, each) == rig.name_full]
    return next(iter([*found, *spheres]), None)


def _rig_meant(context: bpy.types.Context) -> bpy.types.Object | None:
    name, active = session_of(context).rig, context.object
    if name:
        return next((each for each in context.scene.objects if each.name_full == name), None)
    return active if active is not None and active.type == "ARMATURE" else None


def is_checked(context: bpy.types.Context, ball: bpy.types.Object) -> bool:
    """Whether Check is about the ball."""
    return bool(session_of(context).rig == ball.name_full)


class PLUMBLINE_OT_ball_check(bpy.types.Operator):
    """Check the ball by itself, as a ball; its figure's feet tell when it is in the air"""

    bl_idname = "plumbline.ball_check"
    bl_label = "Check the Ball"
    bl_options = {"INTERNAL"}  # noqa: RUF012 - Blender reads this from the class

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only with a ball."""
        return ball_here(context) is not None

    def invoke(self, context: bpy.types.Context, _event: bpy.types.Event) -> set[str]:
        """By mouse: with a progress bar."""
        _pick(context)
        bpy.ops.plumbline.check("INVOKE_DEFAULT")
        return {"FINISHED"}

    def execute(self, context: bpy.types.Context) -> set[str]:
        """All at once."""
        _pick(context)
        return set(bpy.ops.plumbline.check())


class PLUMBLINE_OT_ball_leave(bpy.types.Operator):
    """Show the figure's own answers again; Check is about the figure from now on"""

    bl_idname = "plumbline.ball_leave"
    bl_label = "Back to Figure"
    bl_options = {"INTERNAL"}  # noqa: RUF012

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only with a ball."""
        return ball_here(context) is not None

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Pick the ball's rig."""
        ball = ball_here(context)
        rig = None if ball is None else figure_of(context.scene, ball)
        session_of(context).rig = "" if rig is None else rig.name_full
        redraw_viewports(context)
        return {"FINISHED"}


def _pick(context: bpy.types.Context) -> None:
    ball = ball_here(context)
    if ball is not None:
        session_of(context).rig = ball.name_full
