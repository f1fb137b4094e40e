# SPDX-License-Identifier: GPL-3.0-or-later
"""The side panel's part about the ball: put it on, look at it alone, check it, hand it back."""

from typing import Any

import bpy

from ..ui import last_check
from ..ui.panel import SidePanel
from ..ui.session import session_of
from ..ui.wrapping import draw_text
from .arcs_list import draw_arcs
from .check_ball import (
    PLUMBLINE_OT_ball_check,
    PLUMBLINE_OT_ball_leave,
    ball_here,
    is_checked,
)
from .choices import NEEDED
from .facts import COM, follows, place_of
from .follow_operator import PLUMBLINE_OT_follow_sphere
from .hand_back.operators import PLUMBLINE_OT_hand_back_sphere
from .hand_back.told import told_after
from .hiding import is_hiding
from .left_over import left_over
from .operators import (
    PLUMBLINE_OT_bake_sphere,
    PLUMBLINE_OT_hide_rest,
    PLUMBLINE_OT_remove_sphere,
    PLUMBLINE_OT_show_again,
)
from .ours import SPHERE_OF, uprights_of
from .since import why_moved_on
from .turn_operator import PLUMBLINE_OT_turn_upright
from .upright import AHEAD, SIDE, axis_of

PURPOSE = (
    "Forget the character: put a ball on the root, make the ball right, then put the body back."
)
FOLLOWS = "The ball follows its rig and has no keys: bake it to work on its path."


class _BallPanel(SidePanel):
    bl_parent_id = "PLUMBLINE_PT_sphere"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only with a ball."""
        return ball_here(context) is not None


class PLUMBLINE_PT_sphere(SidePanel, bpy.types.Panel):
    """Put a ball on the root, look at it alone, check it."""

    bl_label = "Root Pass"
    bl_idname = "PLUMBLINE_PT_sphere"
    bl_parent_id = "PLUMBLINE_PT_check"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012

    def draw(self, context: bpy.types.Context) -> None:
        """What can be done now."""
        layout, ball = self.layout, ball_here(context)
        if ball is None:
            if is_hiding(context.scene):  # the ball was deleted meanwhile
                layout.operator(PLUMBLINE_OT_show_again.bl_idname, icon="HIDE_OFF")
            if left_over(context.scene):
                layout.operator(PLUMBLINE_OT_remove_sphere.bl_idname, icon="X")
            draw_text(context, layout, PURPOSE)
            _draw_make(context, layout)
            return
        draw_text(context, layout, told_of(ball))
        if told := why_moved_on(context, ball):
            draw_text(context, layout, told, icon="INFO")
        elif follows(ball):
            draw_text(context, layout, FOLLOWS)
        _draw_look(context, layout, ball)
        row = layout.row(align=True)
        row.operator(PLUMBLINE_OT_ball_check.bl_idname, icon="SPHERE")
        if is_checked(context, ball):
            row.operator(PLUMBLINE_OT_ball_leave.bl_idname, icon="ARMATURE_DATA")


class PLUMBLINE_PT_sphere_arcs(_BallPanel, bpy.types.Panel):
    """The ball's arcs, from contact to contact and from turn to turn."""

    bl_label = "Arcs"
    bl_idname = "PLUMBLINE_PT_sphere_arcs"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only while the answers are a ball's."""
        check = last_check.last_check()
        return check is not None and bool(check.keys.ball) and check.is_of(context.scene)

    def draw(self, context: bpy.types.Context) -> None:
        """The table."""
        draw_arcs(context, self.layout)


class PLUMBLINE_PT_sphere_hand_back(_BallPanel, bpy.types.Panel):
    """Put the body back."""

    bl_label = "Hand Back"
    bl_idname = "PLUMBLINE_PT_sphere_hand_back"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only with a ball that has keys."""
        ball = ball_here(context)
        return ball is not None and not follows(ball)

    def draw(self, context: bpy.types.Context) -> None:
        """How, the button, and what came of it."""
        layout, choices = self.layout, session_of(context).sphere
        column = _named(layout)
        column.prop(choices, "hand_keys")
        column.prop(choices, "hand_into")
        column.prop(choices, "hand_rotation")
        layout.operator(PLUMBLINE_OT_hand_back_sphere.bl_idname, icon="ARMATURE_DATA")
        ball = ball_here(context)
        for told in () if ball is None else told_after(ball):
            draw_text(context, layout, told)


class PLUMBLINE_PT_sphere_again(_BallPanel, bpy.types.Panel):
    """Another ball in place of this one, or none."""

    bl_label = "Bake Again"
    bl_idname = "PLUMBLINE_PT_sphere_again"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012

    def draw(self, context: bpy.types.Context) -> None:
        """What makes a ball, and what takes it away."""
        _draw_make(context, self.layout)
        self.layout.operator(PLUMBLINE_OT_remove_sphere.bl_idname, icon="X")


def told_of(ball: bpy.types.Object) -> str:
    """Whose ball it is, and where it stands."""
    place = place_of(ball)
    where = "the centre of mass" if place.get("what") == COM else repr(place.get("joint", ""))
    rig = ball[SPHERE_OF]
    return f"{ball.name!r} is on {where} of {rig!r}." if place else f"{ball.name!r} is of {rig!r}."


def _draw_make(context: bpy.types.Context, layout: Any) -> None:
    """Where the ball is to be, and which keys it is to have."""
    choices = session_of(context).sphere
    column = _named(layout)
    column.prop(choices, "on")
    column.prop(choices, "keys")
    if choices.keys == NEEDED:
        column.prop(choices, "error_m", text="Within")
    column.prop(choices, "rotation")
    row = layout.row(align=True)
    row.operator(PLUMBLINE_OT_bake_sphere.bl_idname, text="Bake", icon="SPHERE")
    row.operator(PLUMBLINE_OT_follow_sphere.bl_idname, text="Follow", icon="LINKED")


def _draw_look(context: bpy.types.Context, layout: Any, ball: bpy.types.Object) -> None:
    """The rest out of sight, and copies that are turned upright."""
    if is_hiding(context.scene):
        layout.operator(PLUMBLINE_OT_show_again.bl_idname, icon="HIDE_OFF")
    else:
        layout.operator(PLUMBLINE_OT_hide_rest.bl_idname, icon="HIDE_ON")
    there = {axis_of(copy) for copy in uprights_of(context.scene, ball)}
    row = layout.row(align=True)
    row.label(text="Turn Upright")
    for axis, text in ((SIDE, "Side"), (AHEAD, "Ahead")):
        name = PLUMBLINE_OT_turn_upright.bl_idname
        row.operator(name, text=text, depress=axis in there).axis = axis


def _named(layout: Any) -> Any:
    """A column whose properties have their names beside them."""
    column = layout.column()
    column.use_property_split, column.use_property_decorate = True, False
    return column
