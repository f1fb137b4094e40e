# SPDX-License-Identifier: GPL-3.0-or-later
"""What reaches the character from outside: declared here, kept with the rig."""

import math
from typing import Any

import bpy

from ...analysis import Event, PlumblineError
from ...analysis.meta import EVENT_KINDS
from ...analysis.parts import is_spelt, label
from ...analysis.words import capital, frames_text
from ..sampling.events import EVENTS, declare, declared_events, take_back, unread_events
from ..sampling.kept import why_not_kept
from . import last_check
from .causes_session import chosen_finding
from .operators import chosen_subject, refuse
from .panel import SidePanel
from .session import session_of
from .wrapping import draw_text

PURPOSE = (
    "What reaches the character from outside, so that a sudden stop or a slip of that moment is "
    "measured and not blamed."
)
_KIND_TEXTS = {
    "hit": ("Hit", "Something strikes it: a blow, a bullet, a wall"),
    "pull": ("Pull", "Something drags it: a rope, a hand, the wind"),
    "catch": ("Catch", "It takes hold of something, or is caught"),
    "load": ("Load", "It takes up a weight, or lays it down"),
    "freeze": ("Freeze", "It stands still on purpose, as in a held frame"),
}


def _parts(_self: Any, _context: bpy.types.Context, _text: str) -> list[str]:
    """The parts that the last check found."""
    check = last_check.last_check()
    bodies = () if check is None else check.examination.basis.bodies
    return [body.part for body in bodies if body.part]


def _sources(_self: Any, context: bpy.types.Context, _text: str) -> list[str]:
    """Objects of the scene, other characters among them."""
    return sorted(item.name_full for item in context.scene.objects)


class PLUMBLINE_OT_declare_event(bpy.types.Operator):
    """Declare what reaches the character from outside, and when"""

    bl_idname = "plumbline.declare_event"
    bl_label = "Declare Event"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012 - Blender reads this from the class

    kind: bpy.props.EnumProperty(
        name="Kind",
        description="What happens",
        items=[(name, *_KIND_TEXTS[name]) for name in EVENT_KINDS],
    )
    first: bpy.props.IntProperty(name="First Frame", description="When it begins")
    last: bpy.props.IntProperty(name="Last Frame", description="When it ends")
    part: bpy.props.StringProperty(
        name="Part",
        description="The part that it reaches, such as hand.L; left empty, the whole body",
        search=_parts,
    )
    source: bpy.props.StringProperty(
        name="Comes From",
        description="The object or the other character that it comes from; may stay empty",
        search=_sources,
        options={"SKIP_SAVE"},
    )
    of_finding: bpy.props.BoolProperty(
        name="Of the Finding",
        description="Begin with the frames and the part of the finding that is read",
        options={"SKIP_SAVE"},
    )

    def invoke(self, context: bpy.types.Context, _event: Any) -> Any:
        """Ask, beginning with the finding that is read, or the frame that is shown."""
        self.first = self.last = context.scene.frame_current
        finding = chosen_finding(context) if self.of_finding else None
        if finding is not None:
            first, last = finding.frames
            self.first, self.last = math.floor(first), math.ceil(last)
            known = finding.part in _parts(self, context, "")
            self.part = finding.part if known and finding.part else ""
        return context.window_manager.invoke_props_dialog(self, confirm_text="Declare")

    def draw(self, _context: bpy.types.Context) -> None:
        """The answers; an empty part says whom it means."""
        layout = self.layout
        layout.use_property_split = True
        layout.use_property_decorate = False
        for name in ("kind", "first", "last"):
            layout.prop(self, name)
        layout.prop(self, "part", placeholder="Whole body")
        layout.prop(self, "source", placeholder="Not said")

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Keep it with the rig."""
        scene = context.scene
        if self.last < self.first:
            return refuse(
                self,
                f"The event ends at frame {self.last}, before it begins at {self.first}, expected "
                "a later last frame: turn them round.",
            )
        if self.part and not is_spelt(self.part):
            return refuse(
                self,
                f"{self.part!r} is no part, expected one such as hand.L, head or chest, or nothing "
                "for the whole body: choose it from the list.",
            )
        try:
            rig = chosen_subject(context, session_of(context).rig)
        except PlumblineError as error:
            return refuse(self, str(error))
        if why := why_not_kept(scene, rig, EVENTS):
            return refuse(self, why)
        event = Event(
            frames=(float(self.first), float(self.last)),
            part=self.part or None,
            kind=self.kind,
            source=self.source or None,
        )
        declare(scene, rig, event)
        self.report({"INFO"}, f"{rig.name}: {event_text(event)}. Press Check to judge with it.")
        return {"FINISHED"}


class PLUMBLINE_OT_take_event_back(bpy.types.Operator):
    """Declare it no longer"""

    bl_idname = "plumbline.take_event_back"
    bl_label = "Take Event Back"
    bl_options = {"REGISTER", "UNDO"}  # noqa: RUF012

    index: bpy.props.IntProperty(
        name="Line", description="Line of the list, from 0", min=0, options={"SKIP_SAVE"}
    )

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Take the declaration back where it can be."""
        scene = context.scene
        try:
            rig = chosen_subject(context, session_of(context).rig)
        except PlumblineError as error:
            return refuse(self, str(error))
        listed = declared_events(scene, rig)
        if self.index >= len(listed):
            return refuse(
                self, f"{rig.name!r} has no such event, expected one of the list: choose one."
            )
        if why := why_not_kept(scene, rig, EVENTS):
            return refuse(self, why)
        take_back(scene, rig, listed[self.index])
        self.report({"INFO"}, f"{rig.name}: {event_text(listed[self.index])}, taken back.")
        return {"FINISHED"}


def event_text(event: Event) -> str:
    """`Hit, frames 20 to 24, left hand`; `Hit by hook, frame 20, head`."""
    whom = "whole body" if event.part is None else label(event.part)
    by = "" if event.source is None else f" by {event.source}"
    return f"{capital(event.kind)}{by}, {frames_text(*event.frames)}, {whom}"


class PLUMBLINE_PT_events(SidePanel, bpy.types.Panel):
    """What reaches the chosen character from outside, each with a button that takes it back."""

    bl_label = "Events"
    bl_idname = "PLUMBLINE_PT_events"
    bl_parent_id = "PLUMBLINE_PT_check"
    bl_options = {"DEFAULT_CLOSED"}  # noqa: RUF012

    def draw(self, context: bpy.types.Context) -> None:
        """The list and the button; the purpose, until something is listed."""
        layout = self.layout
        try:
            rig = chosen_subject(context, session_of(context).rig)
        except PlumblineError:
            draw_text(context, layout, "Pick a rig first.")
            return
        listed = declared_events(context.scene, rig)
        if not listed:
            draw_text(context, layout, PURPOSE)
        column = layout.column(align=True)
        for index, event in enumerate(listed):
            row = column.row()
            row.label(text=event_text(event), icon="FORCE_FORCE", translate=False)
            button = row.operator(
                PLUMBLINE_OT_take_event_back.bl_idname, text="", icon="X", emboss=False
            )
            button.index = index
        for sentence in unread_events(context.scene, rig):
            draw_text(context, layout, sentence, icon="ERROR")
        layout.operator(PLUMBLINE_OT_declare_event.bl_idname, icon="ADD")
