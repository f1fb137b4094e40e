# SPDX-License-Identifier: GPL-3.0-or-later
"""From a line of the list to where it is: the frame, the control and its key, the view."""

import math
from typing import Any

import bpy

from ...analysis import Finding
from ..causes.select import select_control, select_keys
from . import last_check
from .causes_session import chosen_finding
from .go_to_target import Control, control_of, target_of, why_not_selected
from .go_to_view import frame_finding
from .preferences import preferences_of
from .session import is_here, session_of
from .wrapping import shown_text

# Blender holds subframes as float32.
_SAME_FRAME = 1e-3
# Where going has led last; and which finding, by its id, was gone to at which place.
reached: list[Any] = [None]
gone_to: dict[Any, str] = {}


def place_in(context: bpy.types.Context) -> tuple[Any, ...]:
    """Where one is: in time, and with which object and which of its bones in which mode."""
    scene, active = context.scene, context.view_layer.objects.active
    if active is None:
        return scene.session_uid, scene.frame_current_final
    bone = active.data.bones.active if active.type == "ARMATURE" else None
    name = "" if bone is None else bone.name
    return scene.session_uid, scene.frame_current_final, active.session_uid, active.mode, name


class _GoTo:
    """Going to a line of the list, however it is undone."""

    index: bpy.props.IntProperty(name="Line", description="Line of the list, from 0", min=0)
    select: bpy.props.BoolProperty(
        name="Select the Control",
        description="Select the control that makes the finding, and its key",
        default=True,
        options={"SKIP_SAVE"},
    )
    frame_view: bpy.props.BoolProperty(
        name="Frame the View",
        description="Move the view to where the finding is; never while looking through a camera",
        default=True,
        options={"SKIP_SAVE"},
    )

    @classmethod
    def description(cls, context: bpy.types.Context, properties: Any) -> str:
        """The whole finding, where the mouse rests on its number."""
        findings = session_of(context).findings
        if properties.index >= len(findings):
            return ""
        finding = findings[properties.index]
        said = " ".join(text for text in (finding.says, finding.mend) if text)
        told = shown_text(context, said)
        return (
            f"{told}\n\nGo to the frame and select the control; with Shift, go to the frame only. "
            "A pose without keys is lost"
        )

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only while there is a list, of this scene."""
        return len(session_of(context).findings) > 0 and is_here(context)

    def invoke(self, context: bpy.types.Context, event: Any) -> set[str]:
        """By mouse: as the user prefers, and with Shift the frame only."""
        preferred = preferences_of(context)
        self.select = self.select and preferred.select_control and not event.shift
        self.frame_view = self.frame_view and preferred.frame_view and not event.shift
        return self.execute(context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Move the playhead, as the user would; then select, and say what."""
        session = session_of(context)
        if self.index >= len(session.findings):
            return {"CANCELLED"}
        session.active = self.index
        frame = session.findings[self.index].frame
        # Where the playhead stands already, setting it would only undo a pose that is not keyed.
        if abs(frame - context.scene.frame_current_final) > _SAME_FRAME:
            context.scene.frame_set(math.floor(frame), subframe=frame - math.floor(frame))
        finding = chosen_finding(context)
        if finding is not None and self.frame_view:
            frame_finding(context, finding)
        if finding is not None and self.select:
            self.report({"INFO"}, select_target(context, finding))
        reached[0] = place_in(context)
        gone_to[reached[0]] = session.findings[self.index].finding
        return {"FINISHED"}


class PLUMBLINE_OT_go_to(_GoTo, bpy.types.Operator):
    """Go to the frame of this finding; as with any move in time, a pose without keys is lost"""

    bl_idname = "plumbline.go_to"
    bl_label = "Go to Frame"
    # A step of its own: undo leads back to the finding before, with what was selected there.
    bl_options = {"INTERNAL", "UNDO"}  # noqa: RUF012 - Blender reads this from the class


class PLUMBLINE_OT_go_on(_GoTo, bpy.types.Operator):
    """Go on to the frame of another finding; a pose without keys is lost"""

    bl_idname = "plumbline.go_on"
    bl_label = "Go On to Frame"
    # One step with those just before: who steps through a list has few steps of undo to spare.
    bl_options = {"INTERNAL", "UNDO_GROUPED"}  # noqa: RUF012
    bl_undo_group = "Step through Findings"


def select_target(context: bpy.types.Context, finding: Finding) -> str:
    """Select the control and the key of a finding, where they can be; what was done, in words."""
    control = chosen_control(context, finding)
    if control is None:
        return "Only the playhead moved: what this finding is about is gone."
    if why := why_not_selected(context, control):
        return why
    owner, target = control.owner, target_of(context.scene, control, finding)
    linked = owner.library is not None  # an overridden one is this file's own
    select_control(context, owner, None if linked else control.bone)
    select_keys(owner, target.source, target.places)
    if linked and control.bone is not None:
        return (
            f"{owner.name!r} is linked, so it is selected and its control {control.name} cannot "
            "be: make a library override to pose it."
        )
    return target.says


def chosen_control(context: bpy.types.Context, finding: Finding) -> Control | None:
    """The control that a finding of the last check leads to, in the context's scene."""
    check = last_check.last_check()
    return None if check is None else control_of(context.scene, check, finding)
