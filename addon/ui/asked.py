# SPDX-License-Identifier: GPL-3.0-or-later
"""What a check is asked with: the choices of the panel, and what the user prefers."""

import os
from typing import Any

import bpy

from ...analysis import Settings
from ...analysis.style_file import read_picked_style
from ..sampling.scene_facts import frame_range
from .choice_properties import OWN
from .preferences import preferences_of
from .session import PlumblineSession, session_of, told_height


def settings_of(context: bpy.types.Context) -> Settings:
    """The settings of a check, as the panel and the preferences say.

    Raises SettingsError, one sentence, where the house style cannot be read.
    """
    session = session_of(context)
    return Settings(
        cycle=session.cycle,
        stage=session.stage,
        tolerance=session.tolerance,
        space=session.space,
        height_m=told_height(session),
        style=read_picked_style(style_file(session)) if session.style_path else {},
        off=preferences_of(context).off,
    )


def chosen_range(scene: bpy.types.Scene, session: PlumblineSession) -> tuple[int, int]:
    """First and last frame to measure, as they are told: not every range can be measured."""
    if session.range_of == OWN:
        return session.first_frame, session.last_frame
    return frame_range(scene)


def style_file(session: PlumblineSession) -> str:
    """The whole path of the chosen house style."""
    return str(bpy.path.abspath(session.style_path))


def what_is_chosen(context: bpy.types.Context) -> tuple[Any, ...]:
    """All choices but the rig as plain values, to be compared at each redraw."""
    session = session_of(context)
    return (
        chosen_range(context.scene, session),
        (session.cycle, session.stage, session.space, session.height_m, session.tolerance),
        _version_of(style_file(session)) if session.style_path else None,
        tuple(preferences_of(context).off),
    )


def _version_of(path: str) -> tuple[str, int]:
    """A file, and when it was written: one that is learned anew has other limits."""
    try:
        return path, os.stat(path).st_mtime_ns
    except OSError:
        return path, 0
