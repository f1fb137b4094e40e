# SPDX-License-Identifier: GPL-3.0-or-later
"""Props that are meant to be rigid with the arm: said here, by a custom property on the object."""

from typing import Any

import bpy

from ..sampling.props import FIXED, holding_bones, is_fixed
from ..sampling.scene_facts import is_rig
from .changes import note_declared


class PLUMBLINE_OT_fix_prop(bpy.types.Operator):
    """The active object is strapped to the arm that holds it (a shield, a splint), so that it
    turns with it and trails by nothing: no fault then"""

    bl_idname = "plumbline.fix_prop"
    bl_label = "Rigid With the Arm"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Whether the active object hangs on a bone, and keeps what is said of it."""
        item = context.object
        if item is None or not hangs_on_a_bone(item):
            cls.poll_message_set("Make the prop active that hangs on a hand or forearm")
            return False
        if item.library is not None or item.override_library is not None:
            cls.poll_message_set("It is linked: say so in its own file")
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Say it, or take it back."""
        item = context.object
        if is_fixed(item):
            del item[FIXED]
            told = "is free to trail behind the arm"
        else:
            item[FIXED] = True
            told = "is meant to be rigid with the arm"
        note_declared()
        self.report({"INFO"}, f"{item.name!r} {told}. Press Check to measure with it.")
        return {"FINISHED"}


def hangs_on_a_bone(item: bpy.types.Object) -> bool:
    """Whether an object is parented or constrained to a bone of a rig."""
    if item.type not in ("MESH", "CURVE", "EMPTY"):
        return False
    targets = [item.parent]
    for constraint in item.constraints:
        targets.append(getattr(constraint, "target", None))
        if constraint.type == "ARMATURE":
            targets += [each.target for each in constraint.targets]
    rigs = {each for each in targets if each is not None and is_rig(each)}
    return any(any(holding_bones(item, rig)) for rig in rigs)


def draw_fixed(context: bpy.types.Context, layout: Any) -> None:
    """A checkbox for the active object, where it hangs on a bone."""
    item = context.object
    if item is not None and hangs_on_a_bone(item):
        on = is_fixed(item)
        layout.operator(
            PLUMBLINE_OT_fix_prop.bl_idname,
            text=f"{item.name} Is {PLUMBLINE_OT_fix_prop.bl_label}",
            icon="CHECKBOX_HLT" if on else "CHECKBOX_DEHLT",
            depress=on,
            translate=False,
        )
