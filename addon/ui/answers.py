# SPDX-License-Identifier: GPL-3.0-or-later
"""What happens to the answers of a check, however it was run: they are shown, and kept."""

from typing import Any

import bpy

from ...analysis import Clip
from ...analysis.pipeline import Examination
from . import last_check
from .session import session_of, store_problem, store_shot, verdict_text
from .trails_session import list_parts


def take_answers(
    context: bpy.types.Context,
    scene: bpy.types.Scene,
    rig: bpy.types.Object,
    clip: Clip,
    examination: Examination,
    asked: tuple[Any, ...],
) -> str:
    """Show what a check found and keep it; returns what it comes to, in a few words.

    scene   which was checked, whichever the context shows by now
    clip    what was sampled of the rig
    asked   what the check was told besides keys, see `changes.what_is_asked`
    """
    session, shot = session_of(context), examination.shot
    extra = clip.meta.extra
    rested, lost = extra.get("resting_handlers", ()), extra.get("not_followed", ())
    store_shot(session, scene, shot, rested=rested, lost=lost)
    last_check.remember(examination, scene, rig, asked)
    list_parts(session.trails, examination)
    return verdict_text(shot)


def take_problem(context: bpy.types.Context, scene: bpy.types.Scene, sentence: str) -> None:
    """Show why a check could not be made."""
    store_problem(session_of(context), scene, sentence)
