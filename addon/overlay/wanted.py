# SPDX-License-Identifier: GPL-3.0-or-later
"""What a viewport is to show now, read from the session: nothing here needs the GPU.

Everything that is built hangs on small values that are compared (`Wanted`), so that a redraw in
which nothing has changed costs a few comparisons.
"""

from dataclasses import dataclass, replace
from math import inf
from time import monotonic
from typing import Any

import bpy
import numpy as np

from ..sphere.copies import Copies, copies_of
from ..ui import last_check
from ..ui.earlier_pass import earlier_of
from ..ui.last_check import LastCheck
from ..ui.listed import times_listed
from ..ui.preferences import is_imperial_in
from ..ui.redraw import times_redrawn
from ..ui.session import session_of
from ..watch.state import why_shown
from .choice import DEEP, FLAT, Choice, choice_of, span_of
from .layers import EARLIER, TOPMOST_FIRST
from .look import Look, held_preferences, look_in, look_now
from .render_data import Picture, build_picture
from .screen import Box, View
from .updated import times_updated

# Unscaled pixels (width, height) of what Blender draws into the upper corners.
_TEXTS, _STATISTICS = (230, 64), (230, 190)
_BALL, _BUTTONS = (108, 104), (52, 236)
# How strong what comes after the current frame is drawn, where it is told apart.
AHEAD = 0.3
# Seconds for which what was read of the session is taken to be so still, where nothing told that it
# was set: preferences that are reverted, and what scripts unset, tell nobody.
HOLD_S = 0.5
# By choice, and how speed is coloured.
_picture: dict[tuple[Choice, str, bool], Picture] = {}
# By the numbers of scenes, what was read of the session last, after what that hangs on and when.
_still: dict[int, tuple[Any, float, "Wanted | None"]] = {}


@dataclass(frozen=True)
class _Facts:
    """What of a scene decides what is drawn: whether it was checked and still has the rig, its
    camera's kind, and its units."""

    check: LastCheck
    is_checked: bool
    lens: str
    system: str


# By the numbers of scenes, after what they hang on.
_facts: dict[int, tuple[Any, _Facts]] = {}


@dataclass(frozen=True)
class Wanted:
    """choice    which trails
    span      which frames, None for all
    playhead  the current frame
    layers    the names of those that are on, the uppermost first
    ahead     how strong what comes after the current frame is drawn, 1 as the rest
    look      colours and sizes
    imperial  lengths are told in feet and inches
    strip     the spacing strip is on
    old       what is drawn is about what is no more, and the panel says so
    copies    how the checked ball's upright copies are turned, see `copies_of`
    """

    choice: Choice
    span: tuple[float, float] | None
    playhead: float
    layers: tuple[str, ...]
    ahead: float
    look: Look
    imperial: bool
    strip: bool
    old: bool
    copies: Copies = ()


def wanted(context: bpy.types.Context) -> Wanted | None:
    """What to draw in the context's scene; None where trails are off, or it was not checked.

    The session is read again only where something was set or listed, or a moment has passed, and
    the scene where it was edited, since that takes longer than all the rest of a redraw.
    """
    check, scene = last_check.last_check(), context.scene
    if check is None:
        return None
    number = scene.session_uid
    facts = _facts_of(check, scene, number)
    key = (facts, times_redrawn(), times_listed())
    known, since, now = _still.get(number, (None, -inf, None))
    moment = monotonic()
    if known != key or moment - since > HOLD_S:
        read = _read_of(session_of(context), context, check) if facts.is_checked else None
        since, now = moment, now if read == now else read
        _still[number] = (key, since, now)
    playhead = float(scene.frame_current_final)
    if now is not None and now.playhead != playhead:
        span = None if now.span is None else span_of(session_of(context), playhead)
        now = replace(now, playhead=playhead, span=span)
        _still[number] = (key, since, now)
    return now


def _facts_of(check: LastCheck, scene: bpy.types.Scene, number: int) -> _Facts:
    """Units and camera are looked at each time, as no edit brings them: a script may set units, and
    markers may bring another camera with the frame."""
    system, lens = scene.unit_settings.system, _lens_of(scene)
    key = (check, times_updated(), system, lens)
    known = _facts.get(number)
    if known is None or known[0] != key:
        facts = _Facts(check, check.is_of(scene), lens, system)
        if known is not None and known[1] == facts:
            facts = known[1]
        known = _facts[number] = (key, facts)
    return known[1]


def _lens_of(scene: bpy.types.Scene) -> str:
    """The kind of the scene's camera; empty where there is none."""
    camera = scene.camera
    return str(camera.data.type) if camera is not None and camera.type == "CAMERA" else ""


def _read_of(session: Any, context: bpy.types.Context, check: LastCheck) -> Wanted | None:
    scene, trails = context.scene, session.trails
    if not trails.show:
        return None
    playhead, held = float(scene.frame_current_final), held_preferences(context)
    return Wanted(
        choice=choice_of(session, check, camera_of(trails, check, scene)),
        span=span_of(session, playhead),
        playhead=playhead,
        layers=(
            *(name for name in TOPMOST_FIRST if getattr(trails.layers, name)),
            *((EARLIER,) if session.spacing.earlier and earlier_of(check) is not None else ()),
        ),
        ahead=AHEAD if trails.fade_ahead else 1.0,
        look=look_in(held),
        imperial=is_imperial_in(scene, held),
        strip=session.spacing.strip,
        old=bool(why_shown(context)),
        copies=copies_of(scene, check.keys.ball) if check.keys.ball else (),
    )


def camera_of(trails: Any, check: LastCheck, scene: bpy.types.Scene) -> str:
    """How the scene's camera draws, FLAT or DEEP; empty where trails stand in the world, as is
    asked or as there is no camera to place them before."""
    asked = trails.space
    if asked == "check":
        asked = check.examination.basis.settings.space
    if asked != "camera" or not has_camera(check, scene):
        return ""
    return FLAT if scene.camera.data.type == "ORTHO" else DEEP


def has_camera(check: LastCheck, scene: bpy.types.Scene) -> bool:
    """Whether there was a camera when the check read the scene, and is one now."""
    there = scene.camera is not None and scene.camera.type == "CAMERA"
    return there and check.examination.basis.clip.camera_pose is not None


def picture_of(check: LastCheck, choice: Choice) -> Picture:
    """The arrays of a choice, built when it or the colours of speed are new."""
    look = look_now()
    key = (choice, look.ramp, look.reverse)
    if key not in _picture:
        _picture.clear()
        _picture[key] = build_picture(check, choice)
    return _picture[key]


def full_speed_of(context: bpy.types.Context, session: Any) -> float:
    """The speed in m/s that the far end of the colours stands for; 0 where nothing is drawn."""
    check = last_check.last_check()
    if check is None:
        return 0.0
    choice = choice_of(session, check, camera_of(session.trails, check, context.scene))
    return picture_of(check, choice).full_speed


def forget() -> None:
    """Drop the arrays."""
    _picture.clear()
    _facts.clear()
    _still.clear()


def view_key(view: View) -> tuple[Any, ...]:
    """What the places of texts hang on, as a value to compare; what looks alike is alike."""
    matrix = tuple(np.round(view.perspective / np.abs(view.perspective).max(), 5).ravel().tolist())
    return (view.width, view.height, view.scale, view.free, view.taken, matrix)


def view_of(
    region: Any, data: Any, scale: float, free: Any = None, taken: Any = (), place: Any = None
) -> View:
    """A region of a viewport as plain numbers; `place` (4,4) stands between points and scene."""
    seen = np.array(data.perspective_matrix, dtype=np.float64)
    return View(
        perspective=seen if place is None else seen @ np.asarray(place, dtype=np.float64),
        turn=np.array(data.view_matrix, dtype=np.float64),
        width=region.width,
        height=region.height,
        scale=scale,
        free=free,
        taken=taken,
    )


def taken_parts(space: Any, free: Box, scale: float) -> tuple[Box, ...]:
    """The boxes in the upper corners of a region's free part that Blender draws into."""
    left, _bottom, right, top = free
    found = []
    overlay = space.overlay
    if overlay.show_overlays and (overlay.show_text or overlay.show_stats):
        width, height = _STATISTICS if overlay.show_stats else _TEXTS
        found.append((left, top - height * scale, left + width * scale, top))
    if space.show_gizmo and space.show_gizmo_navigate:
        for width, height in (_BALL, _BUTTONS):
            found.append((right - width * scale, top - height * scale, right, top))
    return tuple(found)


def free_part(area: Any, region: Any) -> Box:
    """(left, bottom, right, top) of a region that sidebar, tools and headers do not cover."""
    left, bottom, right, top = 0, 0, region.width, region.height
    for other in area.regions:
        if other.width <= 1 or other.height <= 1:
            continue
        x, y = other.x - region.x, other.y - region.y
        if other.type == "UI" and x > 0:
            right = min(right, x)
        elif other.type == "TOOLS" and x <= 0:
            left = max(left, x + other.width)
        elif other.type in ("HEADER", "TOOL_HEADER") and y > 0:
            top = min(top, y)
    return (float(left), float(bottom), float(right), float(top))
