# SPDX-License-Identifier: GPL-3.0-or-later
"""A search that goes on as in a window: without one, its timer and its screen are stand-ins."""

from types import SimpleNamespace

import bpy

NAMES = (
    "modal",
    "cancel",
    "prepare",
    "search_of",
    "finish",
    "_work",
    "_plan",
    "_is_overtaken",
    "_show",
    "_leave",
    "_tell",
)


def begun(ext, monkeypatch, cls, **context):
    """The operator's state after it was invoked: `me`, `context`, `timers`, `told`, `session`."""
    timers, told = [], []
    session = bpy.context.window_manager.plumbline
    manager = SimpleNamespace(
        plumbline=session,
        windows=[],
        event_timer_add=lambda _s, window: timers.append("on") or "timer",
        event_timer_remove=lambda _timer: timers.append("off"),
        modal_handler_add=lambda _operator: None,
    )
    context = SimpleNamespace(
        window_manager=manager,
        window=None,
        scene=bpy.context.scene,
        workspace=SimpleNamespace(status_text_set=told.append),
        **context,
    )
    for name in ("WORK_S", "REST_S", "MOST_S"):
        monkeypatch.setattr(ext.addon.ui.searching, name, 0.0)
    me = SimpleNamespace(reports=[], does=cls.does, stopped=cls.stopped, asking=cls.asking)
    me.report = lambda _kind, text: me.reports.append(text)
    for name in NAMES:
        setattr(me, name, getattr(cls, name).__get__(me))
    assert cls.invoke(me, context, None) == {"RUNNING_MODAL"}
    assert session.progress == 0.0
    return SimpleNamespace(me=me, context=context, timers=timers, told=told, session=session)


def event(kind, value="NOTHING"):
    return SimpleNamespace(type=kind, value=value)
