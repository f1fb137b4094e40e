# SPDX-License-Identifier: GPL-3.0-or-later
"""Operators that work in steps while the window stays alive; Esc ends them at any moment.

What is pressed meanwhile goes on to Blender: the work notices by itself when that changes what it
is about, so that no key is swallowed and no click is lost. While something is dragged it waits.
"""

from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic
from typing import Any

import bpy

# Seconds of rest after each step, in which Blender does what the user asks for.
REST_S = 0.03
# Operators that go on while a mouse button or a key is held, or until a click.
DRAGS = (
    "ACTION_OT_",
    "ANIM_OT_change_frame",
    "GRAPH_OT_",
    "MARKER_OT_",
    "NLA_OT_",
    "POSE_OT_",
    "TRANSFORM_OT_",
    "VIEW2D_OT_",
    "VIEW3D_OT_",
)


@dataclass(frozen=True)
class _Running:
    """An operator that has a timer: what takes both away."""

    manager: Any
    timer: Any
    close: Callable[[], None]

    def end(self) -> None:
        """Stop the work, and take its timer away."""
        self.close()
        self.manager.event_timer_remove(self.timer)


# The last number of each kind, and those that run: of one kind, a later one ends the one before.
_latest: dict[str, int] = {}
_running: dict[tuple[str, int], _Running] = {}


def is_running(kind: str) -> bool:
    """Whether an operator of that kind has begun and is neither done nor overtaken."""
    return (kind, _latest.get(kind, 0)) in _running


def overtake(kind: str) -> int:
    """End what runs of a kind, at its next tick at the latest; returns a new number."""
    _latest[kind] = _latest.get(kind, 0) + 1
    return _latest[kind]


def end_all() -> None:
    """End all that runs, now: the extension is switched off."""
    for running in list(_running.values()):
        running.end()
    _running.clear()
    for kind in _latest:
        overtake(kind)


def is_dragging(window: Any) -> bool:
    """Whether the user turns the view, or moves what is not yet put down: the work waits."""
    others = getattr(window, "modal_operators", ())
    return any(operator.bl_idname.startswith(DRAGS) for operator in others)


class Stepped:
    """What such operators have in common; `work`, `show` and `put_away` are their own.

    kind      of two of a kind the later ends the earlier
    stopped   what is told after Esc
    """

    bl_options = {"REGISTER"}  # noqa: RUF012 - Blender reads this from the class
    kind = stopped = ""

    def work(self: Any, context: bpy.types.Context) -> set[str] | None:
        """A step; what the operator returns where it was the last, else None."""
        raise NotImplementedError

    def show(self: Any, context: bpy.types.Context) -> None:
        """Show how far it has come."""
        raise NotImplementedError

    def put_away(self: Any, context: bpy.types.Context) -> None:
        """Show no more of it."""
        raise NotImplementedError

    def is_overtaken(self: Any, _context: bpy.types.Context) -> bool:
        """Whether another one of its kind has begun."""
        return self._number != _latest[self.kind]

    def begin(
        self: Any, context: bpy.types.Context, close: Callable[[], None] = lambda: None
    ) -> Any:
        """Start the timer; what `invoke` returns. `close` drops what is half done, and asks no
        operator for it, which Blender may have freed."""
        self._number, self._rested = overtake(self.kind), monotonic()
        manager = context.window_manager
        timer = manager.event_timer_add(REST_S, window=context.window)
        _running[self.kind, self._number] = _Running(manager, timer, close)
        manager.modal_handler_add(self)
        self.show(context)
        return {"RUNNING_MODAL"}

    def modal(self: Any, context: bpy.types.Context, event: Any) -> Any:
        """A little work at each tick; everything but Esc goes on to Blender."""
        if self.is_overtaken(context):
            self.leave(context)
            return {"CANCELLED"}
        if event.type == "ESC" and event.value == "PRESS":
            self.leave(context)
            self.report({"INFO"}, self.stopped)
            return {"CANCELLED"}
        rests = monotonic() - self._rested < REST_S or is_dragging(context.window)
        if event.type != "TIMER" or rests:
            return {"PASS_THROUGH"}
        try:
            done = self.work(context)
        except Exception:
            self.leave(context)  # or the status bar would tell of it for good
            raise
        self._rested = monotonic()
        return done or {"PASS_THROUGH"}

    def cancel(self: Any, context: bpy.types.Context) -> None:
        """Blender ends it, as when another file is opened."""
        self.leave(context)

    def leave(self: Any, context: bpy.types.Context) -> None:
        """Take the timer away, and what is shown where nothing else shows its own."""
        running = _running.pop((self.kind, self._number), None)
        if running is not None:
            running.end()
        if self._number == _latest[self.kind] or not _running:
            self.put_away(context)
