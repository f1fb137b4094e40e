# SPDX-License-Identifier: GPL-3.0-or-later
"""The check: at once for scripts, in steps with a progress bar where it is pressed."""

from time import monotonic
from typing import Any

import bpy

from ...analysis import PlumblineError
from ...analysis.in_steps import Progress
from ..sampling.held import ChangedError
from .answers import take_problem
from .one_check import Check
from .operators import refuse
from .redraw import redraw_sidebars, redraw_viewports
from .session import session_of
from .stepped import Stepped, end_all, is_running, overtake

# Seconds of frames in one go, each of which makes a temporary scene; and of judging, where drawing
# takes longer as long as that took, up to the last of these.
READ_S, JUDGE_S, MOST_S = 0.3, 0.15, 0.5
# What is done sooner shows no progress: a bar that flashes up tells nothing.
QUIET_S = 0.6
STOPPED = "Stopped: nothing was measured, and the last answers stand."

_shown: list[Progress] = []


class PLUMBLINE_OT_check(Stepped, bpy.types.Operator):
    """Measure the rig or the active object over the chosen range, list what to mend; Esc stops"""

    bl_idname = "plumbline.check"
    bl_label = "Check"
    kind, stopped = "check", STOPPED

    def execute(self, context: bpy.types.Context) -> set[str]:
        """All at once, as scripts ask for it."""
        overtake(self.kind)
        _shown.clear()
        if context.workspace is not None:
            context.workspace.status_text_set(None)  # of a check that this one ends
        try:
            check = Check(context)
            while not check.step():
                pass
            told = check.take(context)
        except PlumblineError as error:
            take_problem(context, context.scene, str(error))
            return refuse(self, str(error))
        self.report({"INFO"}, told)
        return {"FINISHED"}

    def invoke(self: Any, context: bpy.types.Context, _event: Any) -> Any:
        """Begin; a check that runs, and a search, end. Playing would fight for the same time."""
        if context.screen.is_animation_playing:
            bpy.ops.screen.animation_cancel(restore_frame=False)
        overtake("search")
        session_of(context).progress = -1.0
        self._scene = context.scene.session_uid
        try:
            self._check = Check(context, READ_S)
        except PlumblineError as error:
            return self._fail(context, error)
        self._begun = monotonic()
        return self.begin(context, self._check.close)

    def work(self: Any, context: bpy.types.Context) -> set[str] | None:
        """Steps until the time is up; after the last, the search for causes begins."""
        begun = monotonic()
        until = begun + min(max(JUDGE_S, begun - self._rested), MOST_S)
        try:
            while not self._check.step():
                if monotonic() >= until:
                    self.show(context)
                    return None
            told = self._check.take(context)
        except ChangedError as error:  # the last answers are as true as before
            self.leave(context)
            self.report({"WARNING"}, str(error))
            return {"CANCELLED"}
        except PlumblineError as error:
            self.leave(context)
            return self._fail(context, error)
        self.leave(context)
        redraw_viewports(context)
        self.report({"INFO"}, told)
        if bpy.ops.plumbline.find_causes.poll():
            bpy.ops.plumbline.find_causes("INVOKE_DEFAULT")
        return {"FINISHED"}

    def show(self: Any, context: bpy.types.Context) -> None:
        """In the status bar and in the panel, unless it is done before one could read it."""
        if monotonic() - self._begun < QUIET_S or _shown == [self._check.progress]:
            return
        _shown[:] = [self._check.progress]
        context.workspace.status_text_set(f"{self._check.progress.does}. Esc stops.")
        redraw_sidebars(context)

    def put_away(self: Any, context: bpy.types.Context) -> None:
        """The button again."""
        _shown.clear()
        context.workspace.status_text_set(None)
        redraw_sidebars(context)

    def _fail(self: Any, context: bpy.types.Context, error: PlumblineError) -> set[str]:
        scene = next((s for s in bpy.data.scenes if s.session_uid == self._scene), context.scene)
        take_problem(context, scene, str(error))
        redraw_viewports(context)
        return refuse(self, str(error))


class PLUMBLINE_OT_stop(bpy.types.Operator):
    """End the check that goes on; the last answers stay"""

    bl_idname = "plumbline.stop"
    bl_label = "Stop"
    bl_options = {"INTERNAL"}  # noqa: RUF012

    @classmethod
    def poll(cls, _context: bpy.types.Context) -> bool:
        """Only while one goes on."""
        if not is_running("check"):
            cls.poll_message_set("No check goes on")
            return False
        return True

    def execute(self, context: bpy.types.Context) -> set[str]:
        """End it now."""
        end_all()
        _shown.clear()
        context.workspace.status_text_set(None)
        redraw_sidebars(context)
        self.report({"INFO"}, STOPPED)
        return {"FINISHED"}


def draw_check(layout: Any, session: Any) -> None:
    """The button; while a check goes on, how far it has come, and a button that ends it. Beside it
    what keeps the answers true."""
    both = layout.split(factor=0.64, align=True)
    both.scale_y = 1.4
    row = both.row(align=True)
    if _shown and is_running("check"):
        told = _shown[0]
        row.progress(factor=told.share, text=told.does, translate=False)
        row.operator(PLUMBLINE_OT_stop.bl_idname, text="", icon="X")
    else:
        row.operator(PLUMBLINE_OT_check.bl_idname, icon="VIEWZOOM")
    both.prop(session, "watch", toggle=True, icon="HIDE_OFF")
