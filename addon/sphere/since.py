# SPDX-License-Identifier: GPL-3.0-or-later
"""Whether a rig has moved on since its ball was baked: other keys, or another place by now.

Asked at each redraw. Keys are compared again only after an update has touched actions that are not
ours, or the rig plays others; where the rig stands is looked up on the current frame alone.
"""

from dataclasses import dataclass, field
from time import monotonic
from typing import Any

import bpy
import numpy as np

from ..sampling.key_numbers import played_by
from ..sampling.key_text import key_text
from ..sampling.scene_facts import metres_per_unit
from ..sampling.set_numbers import number_of_strips
from ..ui.redraw import redraw_viewports
from .facts import KEYS, follows, frames_of, kept_path, place_of, points_of
from .ours import is_ours, rig_of_ball

MOVED_ON = "The rig has moved on since this was baked: bake again, or hand back what you have."
# Comparing keys rests so many times as long as it took.
_REST = 9.0
# A place that is off by more than this share of the figure's height is another one.
_ELSEWHERE = 1e-4


@dataclass(frozen=True)
class _Compared:
    """asked   what was compared, and after how many edits
    same    whether the keys were those of the bake
    until   no other comparison before then, so that they take a tenth of the time at most
    """

    asked: tuple[Any, ...]
    same: bool
    until: float


@dataclass
class _Edits:
    """How often actions were touched, and by the number of each ball the last comparison."""

    count: int = 0
    compared: dict[int, _Compared] = field(default_factory=dict)


_edits = _Edits()


def why_moved_on(context: bpy.types.Context, sphere: bpy.types.Object) -> str:
    """A sentence where the rig of a baked ball has moved on, or empty."""
    if follows(sphere) or sphere.get(KEYS) is None:
        return ""
    rig = rig_of_ball(context.scene, sphere)
    if rig is None:
        return ""
    is_same = _has_same_keys(sphere, rig) and not _stands_elsewhere(context, sphere, rig)
    return "" if is_same else MOVED_ON


def _has_same_keys(sphere: bpy.types.Object, rig: bpy.types.Object) -> bool:
    asked = (_edits.count, sphere[KEYS], played_by(rig, ""), number_of_strips(rig))
    known, begun = _edits.compared.get(sphere.session_uid), monotonic()
    if known is not None and known.asked == asked:
        return known.same
    if known is not None and begun < known.until and not bpy.app.background:
        _look_later(known.until - begun)  # keys are dragged, say
        return known.same
    same = bool(key_text(rig) == sphere[KEYS])
    ended = monotonic()
    _edits.compared[sphere.session_uid] = _Compared(asked, same, ended + _REST * (ended - begun))
    return same


def _look_later(seconds: float) -> None:
    if not bpy.app.timers.is_registered(_look):
        bpy.app.timers.register(_look, first_interval=max(seconds, 0.05))


def _look() -> None:
    redraw_viewports(bpy.context)


def forget() -> None:
    """Forget all, and look no more."""
    _edits.compared.clear()
    if bpy.app.timers.is_registered(_look):
        bpy.app.timers.unregister(_look)


def _stands_elsewhere(
    context: bpy.types.Context, sphere: bpy.types.Object, rig: bpy.types.Object
) -> bool:
    """Whether the point of the ball is not where it was on this frame; as Blender shows it."""
    scene, frames, path = context.scene, frames_of(sphere), kept_path(sphere)
    frame = scene.frame_current
    is_shown = rig.name in context.view_layer.objects and not rig.hide_viewport
    if frames is None or not is_shown or scene.frame_subframe or rig.mode == "EDIT":
        return False
    if not frames[0] <= frame <= frames[1] or frame - frames[0] >= len(path):
        return False
    now = place_now(rig, sphere)
    if now is None:
        return False
    off = np.linalg.norm(now * metres_per_unit(scene) - path[frame - frames[0]])
    return bool(off > _ELSEWHERE * place_of(sphere)["height_m"])


def place_now(rig: bpy.types.Object, sphere: bpy.types.Object) -> Any:
    """(3,) where the point of a ball is, as the rig was last shown, Blender units; None where a
    bone of it is gone."""
    found, points = np.zeros(3), points_of(sphere)
    for point in points:
        place = rig.matrix_world
        if not point.bone:
            found += point.share * np.array(place.translation)
            continue
        bone = None if rig.pose is None else rig.pose.bones.get(point.bone)
        if bone is None:
            return None
        at = bone.head.lerp(bone.tail, point.at)
        found += point.share * np.array(place @ at)
    return found if points else None


@bpy.app.handlers.persistent
def _note_update(_scene: Any, depsgraph: bpy.types.Depsgraph) -> None:
    """After an update: were actions touched that are not ours?"""
    for update in depsgraph.updates:
        if isinstance(update.id, bpy.types.Action) and not is_ours(update.id):
            _edits.count += 1
            return


@bpy.app.handlers.persistent
def _note_all(_scene: Any, _unused: Any = None) -> None:
    """After an undo, or in another file, all may be otherwise."""
    _edits.count += 1
    _edits.compared.clear()


HANDLERS = (
    ("depsgraph_update_post", _note_update),
    ("undo_post", _note_all),
    ("redo_post", _note_all),
    ("load_post", _note_all),
)
