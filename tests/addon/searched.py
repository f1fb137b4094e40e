# SPDX-License-Identifier: GPL-3.0-or-later
"""Operators that go on as in a window: without one, timer, screen and operator are stand-ins."""

from types import SimpleNamespace

import bpy


def stand_in(cls, **given):
    """What Blender would make of an operator's class, with its properties and its reports."""
    bases = tuple(each for each in cls.__bases__ if each is not bpy.types.Operator)
    made = type(cls.__name__, bases, {k: v for k, v in vars(cls).items() if k != "__slots__"})()
    made.reports = []
    made.report = lambda _kind, text: made.reports.append(text)
    for name, value in given.items():
        setattr(made, name, value)
    return made


def in_window(monkeypatch, stepped, **context):
    """A context with a window whose timers and status texts are noted: `timers`, `told`."""
    timers, told = [], []
    manager = SimpleNamespace(
        plumbline=bpy.context.window_manager.plumbline,
        windows=[],
        event_timer_add=lambda _s, window: timers.append("on") or "timer",
        event_timer_remove=lambda _timer: timers.append("off"),
        modal_handler_add=lambda _operator: None,
    )
    context = SimpleNamespace(
        window_manager=manager,
        window=None,
        screen=SimpleNamespace(is_animation_playing=False),
        scene=bpy.context.scene,
        object=bpy.context.object,
        preferences=bpy.context.preferences,
        workspace=SimpleNamespace(status_text_set=told.append),
        **context,
    )
    monkeypatch.setattr(stepped, "REST_S", 0.0)
    return context, timers, told


def begun(ext, monkeypatch, cls, **context):
    """A search after it was invoked: `me`, `context`, `timers`, `told`, `session`."""
    context, timers, told = in_window(monkeypatch, ext.addon.ui.stepped, **context)
    for name in ("WORK_S", "MOST_S"):
        monkeypatch.setattr(ext.addon.ui.searching, name, 0.0)
    me, session = stand_in(cls), context.window_manager.plumbline
    assert me.invoke(context, None) == {"RUNNING_MODAL"}
    assert session.progress == 0.0
    return SimpleNamespace(me=me, context=context, timers=timers, told=told, session=session)


def event(kind, value="NOTHING"):
    return SimpleNamespace(type=kind, value=value)
