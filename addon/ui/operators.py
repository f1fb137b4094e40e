# SPDX-License-Identifier: GPL-3.0-or-later
"""Operators collect, call one function, store and report; they change no user data."""

import bpy

from ...analysis import PlumblineError, Settings
from ...analysis.cli import still_text
from ...analysis.pipeline import examine
from ..sampling import sample
from ..sampling.pick import pick_rigs
from . import last_check
from .session import session_of, store_problem, store_shot, verdict_text
from .trails_session import list_parts


class PLUMBLINE_OT_check(bpy.types.Operator):
    """Measure the rig over the range that plays and list what to mend"""

    bl_idname = "plumbline.check"
    bl_label = "Check"
    bl_options = {"REGISTER"}  # noqa: RUF012 - Blender reads this from the class

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Sample, check, store."""
        session = session_of(context)
        try:
            rig = chosen_rig(context, session.rig)
            (clip,) = sample(context.scene, [rig])
            if not clip.moves:
                raise PlumblineError(still_text(clip))
            examination = examine(
                clip,
                Settings(cycle=session.cycle, stage=session.stage),
                file=bpy.data.filepath,
                scene=context.scene.name,
            )
        except PlumblineError as error:
            store_problem(session, str(error))
            self.report({"ERROR"}, str(error))
            return {"CANCELLED"}
        shot = examination.shot
        store_shot(session, shot, rested=clip.meta.extra.get("resting_handlers", ()))
        last_check.remember(examination, context.scene)
        list_parts(session.trails, examination)
        self.report({"INFO"}, verdict_text(shot))
        return {"FINISHED"}


def chosen_rig(context: bpy.types.Context, name: str) -> bpy.types.Object:
    """The named rig; else the active one where it is animated; else the first that is."""
    rigs = pick_rigs(context.scene, [name] if name else None)
    return context.object if not name and context.object in rigs else rigs[0]


class PLUMBLINE_OT_go_to(bpy.types.Operator):
    """Go to the frame of this finding"""

    bl_idname = "plumbline.go_to"
    bl_label = "Go to Frame"
    bl_options = {"INTERNAL"}  # noqa: RUF012

    index: bpy.props.IntProperty(name="Line", description="Line of the list, from 0", min=0)

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only while there is a list."""
        return len(session_of(context).findings) > 0

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Move the playhead, as the user would."""
        session = session_of(context)
        if self.index >= len(session.findings):
            return {"CANCELLED"}
        session.active = self.index
        frame = session.findings[self.index].frame
        context.scene.frame_set(int(frame), subframe=frame - int(frame))
        return {"FINISHED"}
