# SPDX-License-Identifier: GPL-3.0-or-later
"""Operators collect, call one function, store and report; they change no user data."""

import math
from typing import Any

import bpy

from ...analysis import PlumblineError, Settings
from ...analysis.cli import still_text
from ...analysis.pipeline import examine
from ..sampling import sample
from ..sampling.pick import pick_rigs
from ..sampling.scene_facts import moving_objects, scene_rigs
from ..sampling.supports import NO_GROUND
from .answers import take_answers, take_problem
from .changes import what_is_asked
from .session import is_here, session_of, told_height

# Blender holds subframes as float32.
_SAME_FRAME = 1e-3


class PLUMBLINE_OT_check(bpy.types.Operator):
    """Measure the rig, or the active object, over the range that plays; list what to mend"""

    bl_idname = "plumbline.check"
    bl_label = "Check"
    bl_options = {"REGISTER"}  # noqa: RUF012 - Blender reads this from the class

    def invoke(self, context: bpy.types.Context, _event: Any) -> set[str]:
        """Pressed by hand, it goes on to look for causes, while the list can be read."""
        done = self.execute(context)
        if done == {"FINISHED"} and bpy.ops.plumbline.find_causes.poll():
            bpy.ops.plumbline.find_causes("INVOKE_DEFAULT")
        return done

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Sample, check, store."""
        session = session_of(context)
        try:
            rig = chosen_subject(context, session.rig)
            asked = what_is_asked(context, rig)
            (clip,) = sample(context.scene, [rig])
            if not clip.moves:
                raise PlumblineError(still_text(clip))
            examination = examine(
                clip,
                Settings(
                    cycle=session.cycle,
                    stage=session.stage,
                    space=session.space,
                    height_m=told_height(session),
                ),
                file=bpy.data.filepath,
                scene=context.scene.name,
            )
        except PlumblineError as error:
            take_problem(context, context.scene, str(error))
            return refuse(self, str(error))
        told = take_answers(context, context.scene, rig, clip, examination, asked)
        self.report({"INFO"}, told)
        return {"FINISHED"}


def refuse(operator: bpy.types.Operator, sentence: str) -> set[str]:
    """Say why nothing was done."""
    operator.report({"ERROR"}, sentence)
    return {"CANCELLED"}


def chosen_rig(context: bpy.types.Context, name: str) -> bpy.types.Object:
    """The named rig; else the active one where it is animated; else the first that is."""
    rigs = pick_rigs(context.scene, [name] if name else None)
    return context.object if not name and context.object in rigs else rigs[0]


def chosen_subject(context: bpy.types.Context, name: str) -> bpy.types.Object:
    """What to check: a plain object where it is active and moves by itself, else the rig.

    In a scene without rigs, the first object that moves by itself.
    """
    if not name:
        objects = [item for item in moving_objects(context.scene) if item.type not in NO_GROUND]
        if context.object in objects:
            return context.object
        if objects and not scene_rigs(context.scene):
            return objects[0]
    return chosen_rig(context, name)


class PLUMBLINE_OT_go_to(bpy.types.Operator):
    """Go to the frame of this finding; as with any move in time, a pose without keys is lost"""

    bl_idname = "plumbline.go_to"
    bl_label = "Go to Frame"
    # Undone like Blender's own moves of the playhead, or Ctrl Z would take back what was before.
    bl_options = {"INTERNAL", "UNDO_GROUPED"}  # noqa: RUF012
    bl_undo_group = "Frame Change"

    index: bpy.props.IntProperty(name="Line", description="Line of the list, from 0", min=0)

    @classmethod
    def description(cls, context: bpy.types.Context, properties: Any) -> str:
        """The whole finding, where the mouse rests on its number."""
        findings = session_of(context).findings
        if properties.index >= len(findings):
            return ""
        finding = findings[properties.index]
        told = " ".join(text for text in (finding.says, finding.mend) if text)
        return f"{told}\n\nGo to the frame; a pose without keys is lost"

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only while there is a list, of this scene."""
        return len(session_of(context).findings) > 0 and is_here(context)

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Move the playhead, as the user would."""
        session = session_of(context)
        if self.index >= len(session.findings):
            return {"CANCELLED"}
        session.active = self.index
        frame = session.findings[self.index].frame
        # Where the playhead stands already, setting it would only undo a pose that is not keyed.
        if abs(frame - context.scene.frame_current_final) > _SAME_FRAME:
            context.scene.frame_set(math.floor(frame), subframe=frame - math.floor(frame))
        return {"FINISHED"}
