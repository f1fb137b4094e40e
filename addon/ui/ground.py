# SPDX-License-Identifier: GPL-3.0-or-later
"""What bears weight: declared here, by a custom property on the user's own objects."""

from collections.abc import Sequence
from typing import Any

import bpy

from ...analysis.words import count_text
from ..sampling.body_boxes import body_boxes
from ..sampling.scene_facts import is_rig
from ..sampling.supports import BEARS_WEIGHT, NO_SUPPORT, declared_supports
from .changes import note_declared
from .fixed import draw_fixed
from .masses import draw_mass
from .operators import refuse
from .panel import SidePanel
from .wrapping import draw_text

PURPOSE = (
    "Crates, steps, walls, ladders, another character's rig: what bears the character besides the "
    "floor. The box around each of their loose parts bears feet and hands, moving or not."
)


class PLUMBLINE_OT_bear_weight(bpy.types.Operator):
    """Let the selected objects bear weight: the character may stand on them"""

    bl_idname = "plumbline.bear_weight"
    bl_label = "Selected Bear Weight"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Declare what can be; say what was left out, and why."""
        chosen = list(context.selected_objects)
        if not chosen:
            return refuse(self, "Nothing is selected, expected objects to stand on: select some.")
        return bear_weight(self, chosen, "Nothing selected")


class PLUMBLINE_OT_bear_no_weight(bpy.types.Operator):
    """Let an object bear weight no longer; the object itself stays"""

    bl_idname = "plumbline.bear_no_weight"
    bl_label = "Bear No Weight"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012

    item: bpy.props.StringProperty(
        name="Object",
        description="Name of the object; left empty, the selected objects are meant",
        options={"SKIP_SAVE"},
    )

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Take the declaration back where it can be."""
        declared = declared_supports(context.scene)
        if self.item:
            meant = [each for each in declared if each.name_full == self.item]
        else:
            meant = [each for each in declared if each in context.selected_objects]
        if not meant:
            return refuse(self, "None of these bears weight, expected one that does: select it.")
        fixed = [each for each in meant if not _can_change(each)]
        if fixed:
            return refuse(
                self,
                f"{_names(fixed)} bears weight in the file that it is linked from, expected an "
                "object of this file: change it there.",
            )
        for each in meant:
            del each[BEARS_WEIGHT]
        note_declared()
        self.report(
            {"INFO"}, f"{_names(meant)} {'bears' if len(meant) == 1 else 'bear'} no weight."
        )
        return {"FINISHED"}


def bear_weight(operator: Any, chosen: Sequence[Any], none: str, why: str = "") -> set[str]:
    """Declare those objects that can bear weight; say so, what was left out, and why.

    none   how a sentence begins that says that none of them can; why: what follows their names
    """
    refused = [f"{item.name!r} {reason}" for item in chosen if (reason := why_not_bearing(item))]
    fit = [item for item in chosen if not why_not_bearing(item)]
    if not fit:
        return refuse(
            operator,
            f"{none} can bear weight ({'; '.join(refused)}), expected objects of this file to "
            "stand on: select some.",
        )
    if any(not item.get(BEARS_WEIGHT) for item in fit):
        note_declared()
    for item in fit:
        item[BEARS_WEIGHT] = True
    left_out = f"; left out: {'; '.join(refused)}" if refused else ""
    told = f"{_names(fit)} {'bears' if len(fit) == 1 else 'bear'} weight{why}"
    operator.report({"INFO"}, f"{told}{left_out}. Press Check to measure with it.")
    return {"FINISHED"}


def why_not_bearing(item: bpy.types.Object) -> str:
    """Why an object is not declared, in words that follow its name; empty where it may be."""
    if item.type in NO_SUPPORT:
        return f"is {NO_SUPPORT[item.type]}"
    if any(modifier.type == "ARMATURE" for modifier in item.modifiers):
        return "is a figure's own body: select its rig"
    if item.type == "ARMATURE" and not (is_rig(item) and body_boxes(item)):
        return "is a rig without a body: nothing hangs on its bones"
    if _can_change(item):
        return ""
    return "is linked: declare it in its own file, or lay a box of your own over it"


def _can_change(item: bpy.types.Object) -> bool:
    """Whether a custom property stays: Blender drops new ones of overrides when it saves."""
    return item.library is None and item.override_library is None


def _icon(item: bpy.types.Object) -> Any:
    return "ARMATURE_DATA" if item.type == "ARMATURE" else "OBJECT_DATA"


def _names(items: Sequence[Any], most: int = 4) -> str:
    """`'crate' and 'step'`; of many only the first few, and how many more."""
    shown = [repr(item.name) for item in items[:most]]
    if len(items) > most:
        shown.append(count_text(len(items) - most, "more object"))
    return " and ".join(filter(None, (", ".join(shown[:-1]), shown[-1])))


class PLUMBLINE_PT_ground(SidePanel, bpy.types.Panel):
    """What bears weight, each with a button that takes it back; what the active prop is."""

    bl_label = "Ground"
    bl_idname = "PLUMBLINE_PT_ground"
    bl_parent_id = "PLUMBLINE_PT_check"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012

    def draw(self, context: bpy.types.Context) -> None:
        """The list and the button; the purpose, until something is listed."""
        layout = self.layout
        listed = declared_supports(context.scene)
        if not listed:
            draw_text(context, layout, PURPOSE)
        column = layout.column(align=True)
        for item in listed:
            row = column.row()
            row.label(text=item.name_full, icon=_icon(item), translate=False)
            remove = row.row()
            remove.enabled = _can_change(item)
            button = remove.operator(
                PLUMBLINE_OT_bear_no_weight.bl_idname, text="", icon="X", emboss=False
            )
            button.item = item.name_full
        layout.operator(PLUMBLINE_OT_bear_weight.bl_idname, icon="ADD")
        draw_fixed(context, layout)
        draw_mass(context, layout)
