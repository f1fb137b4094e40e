# SPDX-License-Identifier: GPL-3.0-or-later
"""Operators collect, call one function, store and report; they change no user data."""

from typing import Any

import bpy

from ...analysis import PlumblineError
from ...analysis.cli import still_text
from ...analysis.pipeline import examine
from ..sampling import sample
from ..sampling.pick import pick_rigs
from ..sampling.scene_facts import moving_objects, scene_rigs
from ..sampling.supports import NO_GROUND
from .answers import take_answers, take_problem
from .asked import chosen_range, settings_of
from .changes import what_is_asked
from .session import session_of


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
            settings, (first, last) = settings_of(context), chosen_range(context.scene, session)
            (clip,) = sample(context.scene, [rig], first=first, last=last)
            if not clip.moves:
                raise PlumblineError(still_text(clip))
            examination = examine(
                clip,
                settings,
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
