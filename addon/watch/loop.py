# SPDX-License-Identifier: GPL-3.0-or-later
"""Watch: brings the answers up to date once an edit is over, in steps between which one may work.

A timer looks ten times a second, and does nothing while the animation plays, while something is
dragged, and until nothing has been edited for a moment. An edit in the middle of an update ends
that, and the next rest begins another.
"""

import traceback
from time import monotonic, process_time
from typing import Any

import bpy

from ...analysis import PlumblineError
from ...analysis.plain_text import number_text
from ..sampling.held import ChangedError
from ..ui import last_check
from ..ui.answers import take_problem
from ..ui.changes import why_old
from ..ui.one_check import Check
from ..ui.operators import chosen_subject
from ..ui.redraw import redraw_sidebars, redraw_viewports
from ..ui.session import session_of
from ..ui.stepped import is_dragging, is_running, overtake
from . import readings
from .state import forget, state

# Seconds between two looks, and between two steps; without an edit before an update begins, and
# before causes are looked for.
TICK_S, BETWEEN_S, REST_S, CAUSES_S = 0.1, 0.02, 0.3, 2.0
# Seconds of work in one go; where drawing takes longer, as long as that took, up to the second.
STEP_S, MOST_S = 0.1, 0.3
# Seconds after which it is told that answers are not true any more.
LATE_S = 1.0
# So many updates without an edit between them: more would never come to an end.
MOST_TIMES = 8
# An update that works for longer than this is heavy; so many in a row, and Watch stops.
HEAVY_S, MOST_HEAVY = 3.0, 2

SECOND = (
    "Watch is off: a second Blender has to read this shot, expected one that can be read here. "
    "Press Check when you want to know."
)
HEAVY = (
    "Watch is off: an update of this shot takes {} s, expected {} s at most. Press Check when you "
    "want to know."
)
FAILED = "Watch is off: an update failed, as the console tells. Press Check when you want to know."


def switch() -> None:
    """Begin or end, as the panel's switch says."""
    session = session_of(bpy.context)
    end()
    if session.watch:
        session.watch_told = ""
        state().scene_uid, state().begins = bpy.context.scene.session_uid, True
        bpy.app.timers.register(tick, first_interval=TICK_S)


def end() -> None:
    """Look no more."""
    forget()
    if bpy.app.timers.is_registered(tick):
        bpy.app.timers.unregister(tick)


def tick() -> float | None:
    """Look, and go on with what is to be done; returns the seconds until the next look."""
    session = session_of(bpy.context)
    if not session.watch:
        return None
    try:
        window = _window()
        if window is not None:
            with bpy.context.temp_override(window=window):
                _look(bpy.context)
    except Exception:
        traceback.print_exc()
        _stop(FAILED)
    if not session.watch:
        return None
    return TICK_S if state().check is None else BETWEEN_S


def is_playing(context: bpy.types.Context) -> bool:
    """Whether any window plays the animation."""
    return any(each.screen.is_animation_playing for each in context.window_manager.windows)


def _window() -> Any:
    """A window that shows the scene that is watched; None where none does."""
    for window in bpy.context.window_manager.windows:
        if window.scene.session_uid == state().scene_uid:
            return window
    return None


def _look(context: bpy.types.Context) -> None:
    if any(map(is_dragging, context.window_manager.windows)):
        return
    is_old, check = bool(why_old(context)), state().check
    _note_due(context, is_old or check is not None)
    if is_running("check"):
        if check is not None:
            _leave(check)
    elif is_playing(context) or bpy.app.is_job_running("RENDER"):
        return
    elif check is not None:
        _go_on(context, check)
    elif monotonic() - state().edited_at >= _rest(REST_S):
        _begin(context, is_old)


def _rest(seconds: float) -> float:
    return 0.0 if bpy.app.background else seconds  # without a window nobody edits meanwhile


def _note_due(context: bpy.types.Context, is_due: bool) -> None:
    """Since when an update is due, and whether that is to be told by now."""
    now = state()
    if not is_due:
        now.due_at = None
    elif now.due_at is None:
        now.due_at = monotonic()
    is_late = now.due_at is not None and monotonic() - now.due_at > LATE_S
    if is_late != now.is_late:
        now.is_late = is_late
        redraw_sidebars(context)


def _begin(context: bpy.types.Context, is_old: bool) -> None:
    """What is to be done at rest: the first check, an update, or the causes."""
    now, check = state(), last_check.last_check()
    rig = None if check is None else check.rig_in(context.scene)
    if now.begins:
        now.begins = False
        if rig is None:
            bpy.ops.plumbline.check("INVOKE_DEFAULT")
        else:
            _update(context, rig, fills=not is_old)
    elif check is None:
        # Nothing is shown: the rig that is chosen has no answers, or could not be given any.
        if not session_of(context).headline and now.tried_at != now.edited_at:
            _update(context, None)
    elif rig is None or check.scene_uid != context.scene.session_uid:
        return
    elif is_old:
        if now.times < MOST_TIMES:
            _update(context, rig)
    elif readings.is_elsewhere(check.scene_uid, check.rig_uid):
        _stop(SECOND)
    elif now.explains and monotonic() - now.edited_at >= _rest(CAUSES_S):
        now.explains = False
        if not is_running("search") and bpy.ops.plumbline.find_causes.poll():
            bpy.ops.plumbline.find_causes("INVOKE_DEFAULT")


def _update(
    context: bpy.types.Context, rig: bpy.types.Object | None, *, fills: bool = False
) -> None:
    """Begin an update; a search for causes is about what is no more, but where it only fills."""
    if not fills:
        overtake("search")
    now, begun, works_from = state(), monotonic(), process_time()
    now.explains, now.fills, now.beside = False, fills, _serial()
    try:
        rig = rig or chosen_subject(context, session_of(context).rig)
        check = now.check = Check(context, STEP_S, rig=rig, watched=True)
    except PlumblineError as error:
        _tell(context, str(error))
        return
    now.worked, now.rested = _worked(begun, works_from), monotonic()
    _go_on(context, check)  # from its first step on it notices edits


def _worked(begun: float, works_from: float) -> float:
    """Seconds of work since then, by the clock or the process, the lesser: whoever else keeps
    the machine busy makes no shot heavy."""
    return min(monotonic() - begun, process_time() - works_from)


def _serial() -> int:
    check = last_check.last_check()
    return 0 if check is None else check.serial


def _go_on(context: bpy.types.Context, check: Check) -> None:
    """Work for a moment; after the last step show the answers."""
    now, begun, works_from = state(), monotonic(), process_time()
    if check.is_touched or now.beside != _serial():  # edited again, or about what is shown no more
        _leave(check)
        return
    now.is_ours = True
    until = begun + min(max(STEP_S, begun - now.rested), MOST_S)
    try:
        done = check.step()
        while not done and monotonic() < until:
            done = check.step()
        if done and now.fills:
            check.keep()
        elif done:
            check.take(context)
    except ChangedError:
        _leave(check)
    except PlumblineError as error:
        _leave(check)
        _tell(context, str(error))
    else:
        now.worked += _worked(begun, works_from)
        if done:
            _done(context)
    finally:
        now.is_ours, now.rested = False, monotonic()


def _done(context: bpy.types.Context) -> None:
    """The answers are true again."""
    now, check = state(), last_check.last_check()
    now.check, now.tried_at, now.times = None, None, now.times + 1
    now.explains = check is not None and not check.explained and not now.fills
    _note_due(context, False)
    redraw_viewports(context)
    now.heavy = now.heavy + 1 if now.worked > HEAVY_S else 0
    if now.heavy >= MOST_HEAVY:
        _stop(HEAVY.format(number_text(round(now.worked, 1)), number_text(HEAVY_S)))


def _leave(check: Check) -> None:
    check.close()
    state().check, state().edited_at = None, monotonic()


def _tell(context: bpy.types.Context, sentence: str) -> None:
    """Say why there are no answers; after the next edit it is tried again."""
    state().tried_at = state().edited_at
    take_problem(context, context.scene, sentence)
    redraw_viewports(context)


def _stop(sentence: str) -> None:
    """Switch it off, and say why."""
    session = session_of(bpy.context)
    session.watch = False
    session.watch_told = sentence
    redraw_sidebars(bpy.context)
