# SPDX-License-Identifier: GPL-3.0-or-later
"""What the panel shows, kept on the window manager: not saved, not undone, not the user's."""

from collections.abc import Callable
from typing import Any

import bpy

from ...analysis.meta import STAGES
from ...analysis.settings import CYCLES, SPACES
from ..sampling.scene_facts import moving_objects
from ..sphere.arcs_rows import PlumblineArcs
from ..sphere.choices import PlumblineSphere
from . import earlier_pass, last_check
from .choice_properties import MoreChoices, forget_choices
from .filters import PlumblineFilters
from .lines import PlumblineFinding, PlumblineIntended, PlumblineNote
from .redraw import redraw_viewports
from .shown import clear_lines, show_check
from .spacing_session import PlumblineSpacing
from .trails_session import PlumblineTrails, list_parts

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


def _another_rig(self: Any, context: bpy.types.Context) -> None:
    """Another character has another height, and answers of its own."""
    check = picked_check(self, context.scene)
    self.height_m = 0.0 if check is None else check.examination.basis.settings.height_m or 0.0
    show_picked(self, context)


def show_picked(session: Any, context: bpy.types.Context) -> None:
    """Show the answers that the picked rig has, or that it has none."""
    check = picked_check(session, context.scene)
    if check is None:
        clear_lines(session)
    elif check != last_check.last_check():
        show_check(session, check)
        list_parts(session.trails, check.examination)
    redraw_viewports(context)


def picked_check(session: Any, scene: bpy.types.Scene) -> last_check.LastCheck | None:
    """The last check of the rig that is picked in a scene; where none is, what was shown last."""
    if not session.rig:
        return last_check.latest_of(scene)
    rig = named_in(scene, session.rig)
    return None if rig is None else last_check.check_of(scene, rig)


def named_in(scene: bpy.types.Scene, name: str) -> bpy.types.Object | None:
    """The object of a scene that has this name in full, or else as it is told for short."""
    for names in ("name_full", "name"):
        for item in scene.objects:
            if getattr(item, names) == name:
                return item
    return None


def _read_another(_self: Any, context: bpy.types.Context) -> None:
    redraw_viewports(context)


# What is called once Watch is switched on or off.
when_switched: list[Callable[[], None]] = []


def _switched(_self: Any, _context: bpy.types.Context) -> None:
    for call in when_switched:
        call()


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
    filters: bpy.props.PointerProperty(type=PlumblineFilters)
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
    fixed: bpy.props.CollectionProperty(type=PlumblineNote)
    not_told: bpy.props.CollectionProperty(type=PlumblineNote)
    intended: bpy.props.CollectionProperty(type=PlumblineIntended)
    # A scene's number may not fit into an integer property.
    scene_uid: bpy.props.StringProperty()
    headline: bpy.props.StringProperty()
    # Since the pass before; and why the file's record of it cannot be read.
    passes: bpy.props.StringProperty()
    unread: bpy.props.StringProperty()
    unjudged: bpy.props.BoolProperty()
    watch: bpy.props.BoolProperty(
        name="Watch",
        description=(
            "Keep the answers true while you work: once keys have changed and all rests for a "
            "moment, only the frames that changed are read again. It waits while the animation "
            "plays, and stops by itself where a shot is too heavy"
        ),
        options={"SKIP_SAVE"},
        update=_switched,
    )
    # Why it has stopped by itself.
    watch_told: bpy.props.StringProperty()
    # Are causes known, does any line fold, how far has a search come (below 0: none runs), and does
    # that one answer a question?
    explained: bpy.props.BoolProperty()
    folding: bpy.props.BoolProperty()
    progress: bpy.props.FloatProperty(default=-1.0)
    asking: bpy.props.BoolProperty()
    problem: bpy.props.StringProperty()
    trails: bpy.props.PointerProperty(type=PlumblineTrails)
    spacing: bpy.props.PointerProperty(type=PlumblineSpacing)
    sphere: bpy.props.PointerProperty(type=PlumblineSphere)
    arcs: bpy.props.PointerProperty(type=PlumblineArcs)


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


def forget(session: PlumblineSession) -> None:
    """Begin anew, as with another file: without a rig and without answers."""
    clear(session)
    session.trails.parts.clear()
    session.rig, session.height_m = "", 0.0
    forget_choices(session)


def clear(session: PlumblineSession) -> None:
    """Forget all answers."""
    clear_lines(session)
    last_check.clear()
    earlier_pass.clear()
