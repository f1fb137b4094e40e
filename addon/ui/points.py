# SPDX-License-Identifier: GPL-3.0-or-later
"""What is followed besides the figure: bones, vertices and objects that the user adds here."""

from collections.abc import Sequence
from typing import Any

import bmesh
import bpy

from ..sampling.follow import FOLLOW, Wanted, follow, unfollow, wanted_points
from ..sampling.kept import why_not_kept
from .changes import note_declared
from .operators import refuse
from .panel import SidePanel
from .wrapping import draw_text

PURPOSE = (
    "A figure's parts are followed by themselves. Add what else matters: bones in Pose Mode, "
    "vertices in a mesh's Edit Mode, objects in Object Mode."
)
# More than this many at once is a slip of the selection: the list would tell nothing any more.
MOST_AT_ONCE = 24
ICONS = {"bone": "BONE_DATA", "vertex": "VERTEXSEL", "object": "OBJECT_DATA"}


class PLUMBLINE_OT_follow(bpy.types.Operator):
    """Follow the selected bones, vertices or objects as well, from the next check on"""

    bl_idname = "plumbline.follow"
    bl_label = "Follow Selected"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Keep the wish with what is selected."""
        chosen = _selected(context)
        if not chosen:
            return refuse(
                self, "Nothing is selected, expected bones, vertices or objects: select some."
            )
        if len(chosen) > MOST_AT_ONCE:
            return refuse(
                self,
                f"{len(chosen)} are selected, expected {MOST_AT_ONCE} at most: select those that "
                "matter.",
            )
        why = _why_not(context, chosen)
        if why:
            return refuse(self, why)
        new = [point for point in chosen if point not in wanted_points(context.scene)]
        follow(context.scene, new)
        if new:
            note_declared()
        told = _names(new or chosen)
        already = "" if new else " already"
        self.report({"INFO"}, f"{told} {_is(new or chosen)} followed{already}.")
        return {"FINISHED"}


class PLUMBLINE_OT_unfollow(bpy.types.Operator):
    """Follow it no longer; what was followed stays as it is"""

    bl_idname = "plumbline.unfollow"
    bl_label = "Follow No Longer"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012

    index: bpy.props.IntProperty(
        name="Line",
        description="Line of the list, from 0; below 0, the selection is meant",
        default=-1,
        options={"SKIP_SAVE"},
    )

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Take the wish back where it can be."""
        listed = wanted_points(context.scene)
        if self.index >= 0:
            meant = listed[self.index : self.index + 1]
        else:
            selected = _selected(context)
            meant = [point for point in listed if point in selected]
        if not meant:
            return refuse(self, "None of these is followed, expected one of the list: select it.")
        if why := _not_kept(context, meant):
            return refuse(self, why)
        unfollow(context.scene, meant)
        note_declared()
        self.report({"INFO"}, f"{_names(meant)} {_is(meant)} followed no longer.")
        return {"FINISHED"}


def _selected(context: bpy.types.Context) -> list[Wanted]:
    """The selected bones in pose mode, vertices in the edit mode of meshes, else objects."""
    if context.mode == "POSE":
        bones = context.selected_pose_bones or ()
        return [Wanted(bone.id_data, bone=bone.name) for bone in bones]
    if context.mode == "EDIT_MESH":
        return [
            Wanted(item, vertex=number)
            for item in context.objects_in_mode_unique_data
            for number in _selected_vertices(item)
        ]
    return [Wanted(item) for item in context.selected_objects]


def _selected_vertices(item: bpy.types.Object) -> list[int]:
    if not isinstance(item.data, bpy.types.Mesh):
        return []
    mesh = bmesh.from_edit_mesh(item.data)
    mesh.verts.index_update()
    return [vertex.index for vertex in mesh.verts if vertex.select]


def _why_not(context: bpy.types.Context, points: Sequence[Wanted]) -> str:
    """Why the selection cannot be followed, as a sentence; empty where it can."""
    rigs = [p.item for p in points if p.item.type == "ARMATURE" and not p.bone]
    if rigs:
        return (
            f"{rigs[0].name!r} is a rig, whose parts are followed already, expected some of its "
            "bones: select those in Pose Mode."
        )
    return _not_kept(context, points)


def _not_kept(context: bpy.types.Context, points: Sequence[Wanted]) -> str:
    return next(filter(None, (why_not_kept(context.scene, p.item, FOLLOW) for p in points)), "")


def _names(points: Sequence[Wanted], most: int = 4) -> str:
    """`'ear' and 'tail'`; of many only the first few, and how many more."""
    shown = [repr(point.name) for point in points[:most]]
    if len(points) > most:
        shown.append(f"{len(points) - most} more")
    return " and ".join(filter(None, (", ".join(shown[:-1]), shown[-1])))


def _is(points: Sequence[Wanted]) -> str:
    return "is" if len(points) == 1 else "are"


class PLUMBLINE_PT_points(SidePanel, bpy.types.Panel):
    """What is followed besides the figure, each with a button that takes it back."""

    bl_label = "Points"
    bl_idname = "PLUMBLINE_PT_points"
    bl_parent_id = "PLUMBLINE_PT_check"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012

    def draw(self, context: bpy.types.Context) -> None:
        """The list and the button; the purpose, until something is listed."""
        layout = self.layout
        listed = wanted_points(context.scene)
        if not listed:
            draw_text(context, layout, PURPOSE)
        column = layout.column(align=True)
        for index, point in enumerate(listed):
            row = column.row()
            row.alert = not point.is_there
            row.label(text=_line(point), icon=_icon(point), translate=False)
            button = row.operator(PLUMBLINE_OT_unfollow.bl_idname, text="", icon="X", emboss=False)
            button.index = index
        layout.operator(PLUMBLINE_OT_follow.bl_idname, icon="ADD")


def _line(point: Wanted) -> str:
    """`ear (porter)` for a bone; what is gone says so."""
    name = f"{point.bone} ({point.item.name})" if point.bone else point.name
    return name if point.is_there else f"{name}: gone"


def _icon(point: Wanted) -> Any:
    if not point.is_there:
        return "ERROR"
    if point.bone:
        return ICONS["bone"]
    return ICONS["vertex" if point.vertex >= 0 else "object"]
