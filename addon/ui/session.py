# SPDX-License-Identifier: GPL-3.0-or-later
"""What the panel shows, kept on the window manager: not saved, not undone, not the user's."""

from collections.abc import Sequence
from typing import Any

import bpy

from ...analysis import Shot
from ...analysis.meta import STAGES
from ...analysis.settings import CYCLES, SPACES
from ...analysis.summary import MOST_LOOKS
from ...analysis.words import capital, count_text, frame_text
from ..sampling.scene_facts import moving_objects
from . import last_check
from .choice_properties import MoreChoices, forget_choices
from .lines import PlumblineFinding, PlumblineNote
from .redraw import redraw_viewports
from .trails_session import PlumblineTrails

_CYCLE_TEXTS = {
    "auto": ("As keyed", "As the curves say, else guessed from the motion"),
    "yes": ("Loop", "The range plays as a loop"),
    "no": ("Once", "The range plays once"),
}
_STAGE_TEXTS = {
    "blocking": ("Blocking", "Stepped or rough keys: repeated frames, flights, balance"),
    "spline": ("Spline", "Splined: paths and spacing as well"),
    "polish": ("Polish", "Everything"),
}
_SPACE_TEXTS = {
    "world": ("World", "Paths as they are in the scene"),
    "camera": ("Camera", "Paths as the active camera sees them; depth does not count"),
}


def _rig_names(_self: Any, context: bpy.types.Context, _text: str) -> list[str]:
    """Rigs first, then what moves by itself."""
    scene = context.scene
    rigs = sorted(o.name_full for o in scene.objects if o.type == "ARMATURE")
    return rigs + [item.name_full for item in moving_objects(scene)]


def _another_rig(self: Any, _context: bpy.types.Context) -> None:
    self.height_m = 0.0  # another character has another height


def _read_another(_self: Any, context: bpy.types.Context) -> None:
    redraw_viewports(context)


class PlumblineSession(MoreChoices, bpy.types.PropertyGroup):
    """The choices made in the panel and the answers of the last check."""

    rig: bpy.props.StringProperty(
        name="Rig",
        description="The character, or the object, to check",
        search=_rig_names,
        update=_another_rig,
    )
    cycle: bpy.props.EnumProperty(
        name="Plays",
        description="Whether the range plays as a loop",
        items=[(name, *_CYCLE_TEXTS[name]) for name in CYCLES],
    )
    stage: bpy.props.EnumProperty(
        name="Stage",
        description="How far the work is: what is asked grows with it",
        items=[(name, *_STAGE_TEXTS[name]) for name in STAGES],
        default="polish",
    )
    space: bpy.props.EnumProperty(
        name="Space",
        description="Where points are followed",
        items=[(name, *_SPACE_TEXTS[name]) for name in SPACES],
    )
    height_m: bpy.props.FloatProperty(
        name="Height (m)",
        description=(
            "How tall the character is in the story, in metres, for all that falls and weighs; "
            "0: as tall as its rest pose"
        ),
        min=0.0,
        soft_max=3.0,
        step=5,
        precision=2,
    )
    findings: bpy.props.CollectionProperty(type=PlumblineFinding)
    active: bpy.props.IntProperty(
        name="Finding",
        description="The finding that is read",
        options={"SKIP_SAVE"},
        update=_read_another,
    )
    style: bpy.props.CollectionProperty(type=PlumblineNote)
    looks: bpy.props.CollectionProperty(type=PlumblineNote)
    good: bpy.props.CollectionProperty(type=PlumblineNote)
    skipped: bpy.props.CollectionProperty(type=PlumblineNote)
    # A scene's number may not fit into an integer property.
    scene_uid: bpy.props.StringProperty()
    headline: bpy.props.StringProperty()
    unjudged: bpy.props.BoolProperty()
    # Are causes known, does any line fold, how far has a search come (below 0: none runs), and does
    # that one answer a question?
    explained: bpy.props.BoolProperty()
    folding: bpy.props.BoolProperty()
    progress: bpy.props.FloatProperty(default=-1.0)
    asking: bpy.props.BoolProperty()
    problem: bpy.props.StringProperty()
    trails: bpy.props.PointerProperty(type=PlumblineTrails)


def session_of(context: bpy.types.Context) -> PlumblineSession:
    """The session of this Blender."""
    return context.window_manager.plumbline


def told_height(session: PlumblineSession) -> float | None:
    """The height that was told, in metres, or None."""
    return round(session.height_m, 4) or None  # Blender holds it as float32


def is_here(context: bpy.types.Context) -> bool:
    """Whether the answers that are shown are about the context's scene, and about a rig in it."""
    check = last_check.last_check()
    if session_of(context).scene_uid != str(context.scene.session_uid):
        return False
    return check is None or check.is_of(context.scene)


def store_shot(
    session: PlumblineSession,
    scene: bpy.types.Scene,
    shot: Shot,
    *,
    rested: Sequence[str] = (),
    lost: Sequence[str] = (),
) -> None:
    """Show the answers of a check.

    rested   others' frame handlers that did not run
    lost     what was to be followed and is no longer there
    """
    clear(session)
    session.scene_uid = str(scene.session_uid)
    for finding in shot.findings:
        line = session.findings.add()
        line.says, line.title = finding.says, finding.title
        line.mend = finding.suggestion.text if finding.suggestion else ""
        line.frame, line.frame_text = finding.peak_frame, frame_text(finding.peak_frame)
        line.major = finding.severity == "major"
    for notes, sentences in (
        (session.style, shot.style),
        (session.looks, [look.says for look in shot.looks[:MOST_LOOKS]]),
        (session.good, shot.good_briefly),
    ):
        for sentence in sentences:
            notes.add().says = sentence
    for why, checks in shot.reasons.items():
        names = ", ".join(checks).replace("_", " ")
        session.skipped.add().says = f"{capital(names)}: {why}."
    if rested:
        names = ", ".join(repr(name) for name in rested)
        session.skipped.add().says = (
            f"What {names} {'poses' if len(rested) == 1 else 'pose'} is not measured: scripts "
            "that follow the playhead rest during a check."
        )
    for name in lost:
        session.skipped.add().says = f"{name} is to be followed and is gone: remove it in Points."
    for notice in shot.notices:
        session.skipped.add().says = notice
    first, last = (frame_text(frame) for frame in shot.frames)
    loop = ", loop" if shot.cycle else ""
    session.headline = f"{shot.rig}, frames {first} to {last}{loop}: {verdict_text(shot)}."
    session.unjudged = shot.is_unjudged


def verdict_text(shot: Shot) -> str:
    """What a check comes to, in a few words; silence is not called good."""
    if shot.findings:
        major = sum(1 for finding in shot.findings if finding.severity == "major")
        return _findings_text(len(shot.findings), major)
    if shot.is_unjudged:
        return "nothing could be judged"
    asked = f", {count_text(len(shot.skipped), 'check')} not judged" if shot.skipped else ""
    return f"nothing to mend{asked}"


def _findings_text(count: int, major: int) -> str:
    """`1 major finding`, `5 findings, all major`, `5 findings, 2 major`, `2 minor findings`."""
    if major in (0, count):
        kind = "major" if major else "minor"
        return count_text(count, f"{kind} finding")
    return f"{count_text(count, 'finding')}, {major} major"


def store_problem(session: PlumblineSession, scene: bpy.types.Scene, sentence: str) -> None:
    """Show why a check could not be made, and nothing else."""
    clear(session)
    session.scene_uid = str(scene.session_uid)
    session.problem = capital(sentence)


@bpy.app.handlers.persistent
def forget_on_load(_file: str, _unused: Any = None) -> None:
    """A file that has just been opened was not checked: forget the rig and all answers."""
    session = session_of(bpy.context)
    clear(session)
    session.trails.parts.clear()
    session.rig, session.height_m = "", 0.0
    forget_choices(session)


def clear(session: PlumblineSession) -> None:
    """Forget all answers."""
    last_check.clear()
    for name in ("findings", "style", "looks", "good", "skipped"):
        getattr(session, name).clear()
    session.active, session.headline, session.problem, session.scene_uid = 0, "", "", ""
    session.unjudged = session.explained = session.folding = False
    session.progress = -1.0
