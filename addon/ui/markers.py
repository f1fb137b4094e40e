# SPDX-License-Identifier: GPL-3.0-or-later
"""Markers in the timeline for the findings that are listed: written on request, and taken away.

The scene keeps a list of those that we wrote (a custom property), each by its name and frame: a
marker that was renamed or moved since is the user's own and stays.
"""

import json
from typing import Any

import bpy

from ...analysis.words import count_text
from ..sampling.kept import why_unread
from .filters import visible
from .operators import refuse
from .session import is_here, session_of

MARKERS = "plumbline_markers"
LINKED = (
    "The scene {0!r} is linked from another file, expected one of this file: open that file, or "
    "make the scene local."
)


class PLUMBLINE_OT_write_markers(bpy.types.Operator):
    """Write a marker into the timeline for each finding in the list, instead of those before"""

    bl_idname = "plumbline.write_markers"
    bl_label = "Write Markers"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only while findings are listed, of this scene."""
        if len(session_of(context).findings) > 0 and is_here(context):
            return True
        cls.poll_message_set("Press Check first: there are no findings to mark")
        return False

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Write them and say how many."""
        scene = context.scene
        if not scene.is_editable:
            return refuse(self, LINKED.format(scene.name))
        if why := why_unread(scene, scene, MARKERS):
            told = "expected a text that Plumbline wrote, or none: rename or delete it first."
            return refuse(self, f"{why}, {told}")
        session = session_of(context)
        shown = [session.findings[number] for number in visible(session)]
        remove_markers(scene)
        write_markers(scene, [(line.title, round(line.frame)) for line in shown])
        self.report({"INFO"}, f"{count_text(len(shown), 'marker')} written.")
        return {"FINISHED"}


class PLUMBLINE_OT_remove_markers(bpy.types.Operator):
    """Remove the markers that were written here; those that you renamed or moved stay"""

    bl_idname = "plumbline.remove_markers"
    bl_label = "Remove Markers"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only where some were written."""
        if written_markers(context.scene):
            return True
        cls.poll_message_set("Write markers first: none of this scene were written here")
        return False

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Remove them and say how many, and how many stay."""
        scene = context.scene
        if not scene.is_editable:
            return refuse(self, LINKED.format(scene.name))
        written = len(written_markers(scene))
        removed = remove_markers(scene)
        stay = written - removed
        told = f"{count_text(stay, 'marker')} that you changed or removed left alone"
        rest = f"; {told}" if stay else ""
        self.report({"INFO"}, f"{count_text(removed, 'marker')} removed{rest}.")
        return {"FINISHED"}


def write_markers(scene: bpy.types.Scene, told: list[tuple[str, int]]) -> None:
    """Write markers of names and frames, and keep which; Blender may cut a long name."""
    written = []
    for name, frame in told:
        marker = scene.timeline_markers.new(name, frame=frame)
        written.append([marker.name, marker.frame])
    if written:
        scene[MARKERS] = json.dumps(written)


def remove_markers(scene: bpy.types.Scene) -> int:
    """Remove what stands as it was written, and forget all of it; how many were removed.

    A marker that a camera was bound to since is the user's too.
    """
    ours = standing_markers(scene)
    for marker in ours:
        scene.timeline_markers.remove(marker)
    if scene.get(MARKERS) is not None and written_markers(scene):
        del scene[MARKERS]
    return len(ours)


def standing_markers(scene: bpy.types.Scene) -> list[bpy.types.TimelineMarker]:
    """The markers that stand as they were written."""
    left, found = written_markers(scene), []
    for marker in scene.timeline_markers:
        each = (marker.name, marker.frame)
        if each in left and marker.camera is None:
            left.remove(each)
            found.append(marker)
    return found


def written_markers(scene: bpy.types.Scene) -> list[tuple[str, int]]:
    """Names and frames of the markers that were written; empty for what nobody of us wrote."""
    held: Any = scene.get(MARKERS)
    try:
        found = json.loads(held) if isinstance(held, str) else []
    except (ValueError, RecursionError):
        return []
    entries = found if isinstance(found, list) else []
    return [
        (each[0], each[1])
        for each in entries
        if isinstance(each, list)
        and len(each) == 2
        and isinstance(each[0], str)
        and isinstance(each[1], int)
    ]


def draw_markers(context: bpy.types.Context, layout: Any) -> None:
    """Both buttons in a row; the second only where some were written."""
    row = layout.row(align=True)
    row.operator(PLUMBLINE_OT_write_markers.bl_idname, icon="MARKER_HLT")
    if written_markers(context.scene):
        row.operator(PLUMBLINE_OT_remove_markers.bl_idname, text="", icon="X")
