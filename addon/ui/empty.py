# SPDX-License-Identifier: GPL-3.0-or-later
"""What the panel says where it has no answers to show: what to do next."""

from typing import Any

import bpy

from ..sampling.supports import NO_GROUND
from . import last_check
from .session import is_here, named_in, picked_check, session_of, show_picked
from .stepped import is_running
from .wrapping import draw_text

NO_RIG = "There is no rig in this scene. Add or import one."
UNCHECKED = "Press Check to measure the range that plays."
ELSEWHERE = "The last check was of another scene, or its rig is gone. Press Check to measure again."
ALL_INTENDED = "All that was found is kept as intended; it is listed below."


def no_rig_text(scene: bpy.types.Scene) -> str:
    """What to do in a scene that holds nothing to check; empty where it does."""
    if any(item.type == "ARMATURE" or item.type not in NO_GROUND for item in scene.objects):
        return ""
    return NO_RIG


def no_answers_text(context: bpy.types.Context) -> str:
    """Why there are no answers to show, and what to do; empty where there are."""
    session, scene = session_of(context), context.scene
    if session.rig and named_in(scene, session.rig) is None:
        return f"{session.rig!r} is not in this scene: pick a rig that is."
    if not (session.problem or session.headline):
        return "" if is_running("check") else UNCHECKED
    return "" if is_here(context) else ELSEWHERE


def linked_text(context: bpy.types.Context) -> str:
    """Where the keys of a linked rig are; empty for one of this file."""
    check = last_check.last_check()
    rig = None if check is None else check.rig_in(context.scene)
    if rig is None or rig.library is None:
        return ""
    return (
        f"This rig is linked: what is found is mended in {bpy.path.basename(rig.library.filepath)}."
    )


class PLUMBLINE_OT_show_answers(bpy.types.Operator):
    """Show the answers of the last check of this scene"""

    bl_idname = "plumbline.show_answers"
    bl_label = "Show This Scene's Answers"
    bl_options = {"INTERNAL"}  # noqa: RUF012 - Blender reads this from the class

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only where this scene has some."""
        if picked_check(session_of(context), context.scene) is None:
            cls.poll_message_set("Press Check: this scene was not checked")
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Bring them back."""
        show_picked(session_of(context), context)
        return {"FINISHED"}


def draw_empty(context: bpy.types.Context, layout: Any, told: str) -> None:
    """The sentence; and the button, where this scene has answers that are not shown."""
    draw_text(context, layout, told)
    if picked_check(session_of(context), context.scene) is not None:
        layout.operator(PLUMBLINE_OT_show_answers.bl_idname, icon="FILE_REFRESH")
