# SPDX-License-Identifier: GPL-3.0-or-later
"""A search on a copy of the rig while the user goes on; it can be stopped at any moment."""

from math import inf
from time import monotonic
from typing import Any

import bpy

from ..causes.search import CauseSearch
from . import last_check
from .changes import why_old
from .operators import refuse
from .redraw import redraw_sidebars, redraw_viewports
from .session import session_of
from .stepped import Stepped, overtake

# Seconds of work in one go. Each time a copy of the rig is made, and afterwards Blender evaluates
# the whole scene: where that takes long, the work does as well, up to the second of these.
WORK_S, MOST_S = 0.15, 0.5
# So long after the playhead has moved the search waits.
STILL_S = 0.5

CHECK_GOES_ON = "A check goes on: wait for it, or press Esc to end it"
GONE = "The rig is gone, expected the one that was checked: check again."


class Searching(Stepped):
    """What operators that search have in common: `prepare`, `search_of` and `finish` are their own.

    does     in the status bar while it goes on
    asking   whether it answers a question of the user's, and not what the list needs
    """

    kind = "search"
    does = ""
    asking = False

    def prepare(self, context: bpy.types.Context) -> str:
        """What has to be known before it begins; why it cannot, as a sentence, or empty."""
        return ""

    def search_of(
        self: Any, scene: bpy.types.Scene, rig: bpy.types.Object, check: last_check.LastCheck
    ) -> CauseSearch:
        """The search, planned; raises PlumblineError."""
        raise NotImplementedError

    def finish(self: Any, context: bpy.types.Context, search: CauseSearch) -> None:
        """Keep and tell the answers."""
        raise NotImplementedError

    def execute(self: Any, context: bpy.types.Context) -> set[str]:
        """All at once, as scripts ask for it."""
        check = last_check.last_check()
        rig = None if check is None else check.rig_in(context.scene)
        if check is None or rig is None:
            return refuse(self, GONE)
        if why := self.prepare(context):
            return refuse(self, why)
        overtake(self.kind)
        search = self.search_of(context.scene, rig, check)
        while not search.is_done:
            search.step(float("inf"))
        if context.workspace is not None:
            context.workspace.status_text_set(None)  # of a search that this one ends
        self._tell(context, search)
        return {"FINISHED"}

    def invoke(self: Any, context: bpy.types.Context, _event: Any) -> Any:
        """Begin, and let the user go on meanwhile."""
        check = last_check.last_check()
        if check is None:
            return self.execute(context)
        if why := self.prepare(context):
            return refuse(self, why)
        self._serial = check.serial
        self._frame, self._moved = context.scene.frame_current_final, -inf
        self._search: CauseSearch | None = None  # planned at the first tick, once the list is drawn
        return self.begin(context)

    def work(self: Any, context: bpy.types.Context) -> set[str] | None:
        """A step of the search, or its answers where all is done."""
        if self._is_scrubbed(context):
            return None
        search = self._search = self._search or self._plan()
        if not search.is_done:
            search.step(min(max(WORK_S, monotonic() - self._rested), MOST_S))
            self.show(context)
            return None
        self.leave(context)
        self._tell(context, search)
        return {"FINISHED"}

    def _is_scrubbed(self: Any, context: bpy.types.Context) -> bool:
        """Whether the playhead moved a moment ago: then the search, which slows it, waits."""
        frame, now = context.scene.frame_current_final, monotonic()
        if frame != self._frame:
            self._frame, self._moved = frame, now
        return bool(now - self._moved < STILL_S)

    def _plan(self: Any) -> CauseSearch:
        """The search of what was checked last, in whichever scene the user is by now."""
        check = last_check.last_check()
        assert check is not None
        scene = next(item for item in bpy.data.scenes if item.session_uid == check.scene_uid)
        rig = check.rig_in(scene)
        assert rig is not None
        return self.search_of(scene, rig, check)

    def is_overtaken(self: Any, context: bpy.types.Context) -> bool:
        """Whether another check or search has begun, or the answers have become old."""
        check = last_check.last_check()
        if check is None or check.serial != self._serial or super().is_overtaken(context):
            return True
        scenes = [item for item in bpy.data.scenes if item.session_uid == check.scene_uid]
        return not (scenes and check.is_of(scenes[0])) or bool(why_old(context))

    def show(self: Any, context: bpy.types.Context) -> None:
        """In the status bar and in the panel."""
        done = self._search.done / max(self._search.total, 1) if self._search else 0.0
        session = session_of(context)
        session.progress, session.asking = done, self.asking
        context.workspace.status_text_set(f"{self.does}: {done * 100.0:.0f} %. Esc stops.")
        redraw_sidebars(context)

    def put_away(self: Any, context: bpy.types.Context) -> None:
        """Show no progress any more."""
        session_of(context).progress = -1.0
        context.workspace.status_text_set(None)
        redraw_sidebars(context)

    def _tell(self: Any, context: bpy.types.Context, search: CauseSearch) -> None:
        if search.why_none:
            self.report({"WARNING"}, search.why_none)
        session_of(context).progress = -1.0
        self.finish(context, search)
        redraw_viewports(context)
