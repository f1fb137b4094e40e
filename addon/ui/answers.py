# SPDX-License-Identifier: GPL-3.0-or-later
"""What happens to the answers of a check, however it was run: they are shown, and kept."""

from dataclasses import replace
from typing import Any

import bpy

from ...analysis import Clip
from ...analysis.pass_words import verdict_text
from ...analysis.pipeline import Examination
from ..sampling.key_numbers import Keys
from ..signals.shown import follow_answers
from ..watch.known_causes import causes_before, with_known_causes
from ..watch.passes import outcome_of
from . import asked_session, last_check
from .earlier_pass import note_pressed
from .session import named_in, session_of, show_picked
from .shown import show_check, show_problem
from .trails_session import list_parts


def take_answers(
    context: bpy.types.Context,
    scene: bpy.types.Scene,
    rig: bpy.types.Object,
    clip: Clip,
    examination: Examination,
    asked: tuple[Any, ...],
    keys: Keys,
    *,
    watched: bool = False,
) -> str:
    """Show what a check found and keep it; returns what it comes to, in a few words.

    scene    which was checked, whichever the context shows by now
    clip     what was sampled of the rig
    asked    what the check was told besides keys, see `changes.what_is_asked`
    keys     what played as it was sampled
    watched  whether the answers were brought up to date, and not asked for by a press
    """
    session = session_of(context)
    unread: list[str] = []
    outcome = outcome_of(scene, rig, examination, unread.append, watched=watched)
    shot, explained, was, own = outcome.shot, False, None, None
    before = last_check.check_of(scene, rig) if watched else None
    if before is not None:
        own = {each.id: each.suggestion for each in shot.findings}
        shot, is_same = with_known_causes(shot, before.examination.shot)
        explained = before.explained and is_same
        known = before.examination.shot
        if not explained:
            was = causes_before(shot, known, before.was, explained=before.explained)
    examination = replace(examination, shot=shot)
    check = last_check.remember(
        examination,
        scene,
        rig,
        asked,
        keys,
        outcome=outcome,
        told=(*_told(clip), *unread),
        explained=explained,
        was=was,
        own=own,
    )
    if not watched:
        asked_session.forget()
        note_pressed(check)
    picked = named_in(scene, session.rig) if session.rig else rig
    if picked in (rig, None):
        show_check(session, check)
        list_parts(session.trails, examination)
    else:  # another one was picked while this one was measured: its own answers stay in sight
        show_picked(session, context)
    follow_answers(session, scene)
    return verdict_text(outcome.shot)


def take_problem(context: bpy.types.Context, scene: bpy.types.Scene, sentence: str) -> None:
    """Show why a check could not be made."""
    show_problem(session_of(context), scene, sentence)


def _told(clip: Clip) -> tuple[str, ...]:
    """What the sampling had to leave out: others' handlers, and what was to be followed."""
    extra = clip.meta.extra
    rested, told = extra.get("resting_handlers", ()), []
    if rested:
        names = ", ".join(repr(name) for name in rested)
        told.append(
            f"What {names} {'poses' if len(rested) == 1 else 'pose'} is not measured: scripts "
            "that follow the playhead rest during a check."
        )
    if "alone" in extra:
        told.append(f"The ball is judged alone, by its own bounces: {extra['alone']}.")
    for name in extra.get("not_followed", ()):
        told.append(f"{name} is to be followed and is gone: remove it in Points.")
    return tuple(told)
