# SPDX-License-Identifier: GPL-3.0-or-later
"""Looks for causes while the list can be read already; it can be stopped at any moment."""

from time import monotonic
from typing import Any

import bpy

from ...analysis import Shot
from ...analysis.words import count_text
from ..causes.search import CauseSearch
from ..causes.search import find_causes as find_all
from . import last_check
from .causes_session import store_causes
from .changes import why_old
from .operators import refuse
from .redraw import redraw_viewports
from .session import is_here, session_of

# Seconds of work in one go, and of rest, in which Blender does what the user asks for. Each time a
# copy of the rig is made, and afterwards Blender evaluates the whole scene: where that takes long,
# the work does as well, up to the last of these.
WORK_S, REST_S, MOST_S = 0.15, 0.03, 0.5

# The number of the search that runs, or ran last: a later one ends it.
_latest = [0]


class PLUMBLINE_OT_find_causes(bpy.types.Operator):
    """Find the control and the key that cause each finding, on a copy of the rig; Esc stops"""

    bl_idname = "plumbline.find_causes"
    bl_label = "Find Causes"
    bl_options = {"REGISTER"}  # noqa: RUF012 - Blender reads this from the class

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only for answers of this scene that are not old."""
        why = ""
        if not len(session_of(context).findings) or not is_here(context):
            why = "Press Check first: there is no finding to explain"
        elif old := why_old(context):
            why = old.rstrip(".")
        if why:
            cls.poll_message_set(why)
        return not why

    def execute(self, context: bpy.types.Context) -> set[str]:
        """All at once, as scripts ask for it."""
        _latest[0] += 1
        check = last_check.last_check()
        rig = None if check is None else check.rig_in(context.scene)
        if check is None or rig is None:
            return refuse(self, "The rig is gone, expected the one that was checked: check again.")
        shot = find_all(context.scene, rig, check.examination, tell=self._say)
        if context.workspace is not None:
            context.workspace.status_text_set(None)  # of a search that this one ends
        self._end(context, shot)
        return {"FINISHED"}

    def invoke(self, context: bpy.types.Context, _event: Any) -> Any:
        """Begin, and let the user go on meanwhile."""
        check = last_check.last_check()
        if check is None:
            return self.execute(context)
        _latest[0] += 1
        self._number, self._serial, self._rested = _latest[0], check.serial, monotonic()
        self._search: CauseSearch | None = None  # planned at the first tick, once the list is drawn
        manager = context.window_manager
        self._timer = manager.event_timer_add(REST_S, window=context.window)
        manager.modal_handler_add(self)
        self._show(context)
        return {"RUNNING_MODAL"}

    def modal(self, context: bpy.types.Context, event: Any) -> Any:
        """A little work at each tick; everything but Esc goes on to Blender."""
        if self._is_overtaken(context):
            self._leave(context)
            return {"CANCELLED"}
        if event.type == "ESC" and event.value == "PRESS":
            self._leave(context)
            self.report({"INFO"}, "Stopped: causes are not known.")
            return {"CANCELLED"}
        if event.type != "TIMER" or monotonic() - self._rested < REST_S:
            return {"PASS_THROUGH"}
        try:
            finished = self._work(context)
        except Exception:
            self._leave(context)  # or the status bar would tell of it for good
            raise
        self._rested = monotonic()
        return {"FINISHED"} if finished else {"PASS_THROUGH"}

    def cancel(self, context: bpy.types.Context) -> None:
        """Blender ends it, as when another file is opened."""
        self._leave(context)

    def _work(self, context: bpy.types.Context) -> bool:
        """A step of the search, and its answers where that was the last; returns whether it was."""
        search = self._search = self._search or self._plan()
        if not search.is_done:
            search.step(min(max(WORK_S, monotonic() - self._rested), MOST_S))
            self._show(context)
            return False
        shot = search.shot()
        self._leave(context)
        if search.why_none:
            self._say(search.why_none)
        self._end(context, shot)
        return True

    def _plan(self) -> CauseSearch:
        """The search of what was checked last, in whichever scene the user is by now."""
        check = last_check.last_check()
        assert check is not None
        scene = next(item for item in bpy.data.scenes if item.session_uid == check.scene_uid)
        rig = check.rig_in(scene)
        assert rig is not None
        return CauseSearch(scene, rig, check.examination)

    def _is_overtaken(self, context: bpy.types.Context) -> bool:
        """Whether another check or search has begun, or the answers have become old."""
        check = last_check.last_check()
        if check is None or check.serial != self._serial or self._number != _latest[0]:
            return True
        scenes = [item for item in bpy.data.scenes if item.session_uid == check.scene_uid]
        return not (scenes and check.is_of(scenes[0])) or bool(why_old(context))

    def _show(self, context: bpy.types.Context) -> None:
        done = self._search.done / max(self._search.total, 1) if self._search else 0.0
        session_of(context).progress = done
        context.workspace.status_text_set(f"Finding causes: {done * 100.0:.0f} %. Esc stops.")
        redraw_viewports(context)

    def _leave(self, context: bpy.types.Context) -> None:
        """Take the timer away, and what is shown where no later search shows its own."""
        context.window_manager.event_timer_remove(self._timer)
        if self._number == _latest[0]:
            session_of(context).progress = -1.0
            context.workspace.status_text_set(None)
        redraw_viewports(context)

    def _end(self, context: bpy.types.Context, shot: Shot) -> None:
        store_causes(session_of(context), shot)
        known = sum(1 for each in shot.findings if _has_control(each))
        told = f"Causes of {known} of {count_text(len(shot.findings), 'finding')} are known."
        self.report({"INFO"}, told)
        redraw_viewports(context)

    def _say(self, sentence: str) -> None:
        self.report({"WARNING"}, sentence)


def _has_control(finding: Any) -> bool:
    return any(cause.control is not None for cause in finding.causes)
