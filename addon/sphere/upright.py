# SPDX-License-Identifier: GPL-3.0-or-later
"""Upright copies of a ball: side to side, or ahead and back, as up and down, live.

An empty carries the turn, and its child copies the ball's place into its own axes: Blender turns
it, so that the copy moves with the ball, keys and all. The empty is hidden and not to be selected.
"""

from typing import Any

import bpy
import numpy as np
from mathutils import Matrix

from ...analysis.ball.turned import Axis, Turned, turned, way_ahead
from ..sampling.curves import action_fcurves
from ..sampling.scene_facts import metres_per_unit, time_stretch
from .facts import place_of
from .keys import Keys, take_keys_off, write_keys
from .ours import (
    TURNED,
    UPRIGHT_OF,
    make_material,
    our_collection,
    parts_of_upright,
    uprights_of,
)

SIDE, AHEAD = "SIDE", "AHEAD"
NAMES = {SIDE: "side to side", AHEAD: "ahead and back"}
_AXES: dict[str, Axis] = {SIDE: "side", AHEAD: "ahead"}
# Sky blue and bluish green of the palette by Okabe and Ito (2008); linear.
_COLOURS = {SIDE: (0.093, 0.456, 0.815, 1.0), AHEAD: (0.0, 0.342, 0.171, 1.0)}
# How far it is moved up, in heights of the figure or, where that is more, of the path: so as to lie
# on nothing; a second copy so much further.
_AWAY, _FURTHER = 1.5, 1.25


def copy_of(scene: bpy.types.Scene, sphere: bpy.types.Object, axis: str) -> Any:
    """The upright copy of a ball for an axis, or None."""
    found = (each for each in uprights_of(scene, sphere) if axis_of(each) == axis)
    return next(found, None)


def axis_of(copy: bpy.types.Object) -> str:
    """SIDE or AHEAD: which way goes up and down."""
    return str(copy[TURNED]["axis"])


def turned_of(copy: bpy.types.Object) -> Turned:
    """How an upright copy is turned, in metres and scene frames."""
    told = copy[TURNED].to_dict()
    return Turned(
        rotation=np.array(told["rotation"]).reshape(3, 3),
        about=np.array(told["about"]),
        beside=np.array(told["beside"]),
        drift=np.array(told["drift"]),
        first=float(told["first"]),
    )


def make_upright(scene: bpy.types.Scene, sphere: bpy.types.Object, axis: str) -> bpy.types.Object:
    """An upright copy of a ball, which is yet to be placed (`place_uprights`)."""
    name = f"{sphere.name} {NAMES[axis]}"
    turning = bpy.data.objects.new(f"{name} turn", None)
    turning.empty_display_size = 1e-4
    turning.hide_viewport = turning.hide_select = True
    copy = bpy.data.objects.new(name, sphere.data)
    copy.parent = turning
    copy.scale = sphere.scale
    copy.lock_location = copy.lock_rotation = (True,) * 3
    copy.show_in_front = True
    copy.color = _COLOURS[axis]
    follow: Any = copy.constraints.new("COPY_LOCATION")
    follow.target, follow.owner_space, follow.target_space = sphere, "LOCAL", "WORLD"
    follow.show_expanded = False  # or Blender draws a line from the one to the other
    copy[TURNED] = {"axis": axis}
    slot = copy.material_slots[0]
    slot.link = "OBJECT"
    slot.material = make_material(name, _COLOURS[axis])
    for block in (turning, copy, slot.material):
        block[UPRIGHT_OF] = sphere.name
    for item in (turning, copy):
        item.hide_render = True
        our_collection(scene).objects.link(item)
    return copy


def place_uprights(
    scene: bpy.types.Scene, sphere: bpy.types.Object, frames: Any, positions: Any
) -> None:
    """Turn all upright copies of a ball by its path (T,3), metres, on scene frames (T,)."""
    away = _AWAY
    for axis in (SIDE, AHEAD):
        copy = copy_of(scene, sphere, axis)
        if copy is not None:
            _place(scene, copy, _turned(sphere, axis, frames, positions, away))
            for block in parts_of_upright(copy):
                block[UPRIGHT_OF] = sphere.name  # it may have been renamed
            away += _FURTHER


def _turned(
    sphere: bpy.types.Object, axis: str, frames: Any, positions: Any, away: float
) -> Turned:
    place = place_of(sphere)
    height = float(place.get("height_m", 0.0)) or 1.0
    ahead = way_ahead(positions, np.array(place.get("ahead", (0.0, -1.0, 0.0))), height)
    flat = turned(frames, positions, axis=_AXES[axis], ahead=ahead, beside_m=0.0)
    tall = max(float(np.ptp(each[:, 2])) for each in (positions, flat.to(frames, positions)))
    size = max(height, tall)
    return turned(frames, positions, axis=_AXES[axis], ahead=ahead, beside_m=away * size)


def _place(scene: bpy.types.Scene, copy: bpy.types.Object, how: Turned) -> None:
    """Set what turns a copy: where the empty stands at first, and how it goes along."""
    copy[TURNED] = {
        "axis": axis_of(copy),
        "rotation": how.rotation.ravel().tolist(),
        "about": how.about.tolist(),
        "beside": how.beside.tolist(),
        "drift": how.drift.tolist(),
        "first": how.first,
    }
    turning, unit = copy.parent, metres_per_unit(scene)
    turning.rotation_mode = "QUATERNION"
    turning.rotation_quaternion = Matrix(how.rotation.tolist()).to_quaternion()
    stays = np.eye(3) - how.rotation
    at = (stays @ how.about + how.beside) / unit
    turning.location = at.tolist()
    take_keys_off(turning)
    if how.drift.any():
        _go_along(turning, at, stays @ how.drift / unit, how.first / time_stretch(scene), scene)


def _go_along(
    turning: bpy.types.Object, at: Any, step: Any, first: float, scene: bpy.types.Scene
) -> None:
    """Two linear keys, which go on alike before and after."""
    span = 1000.0
    frames = np.array([first, first + span])
    values = np.array([at, at + span * time_stretch(scene) * step])
    write_keys(turning, Keys(frames, values), {"location": 3})
    data: Any = turning.animation_data
    for curve in action_fcurves(data.action, getattr(data, "action_slot", None)):
        curve.extrapolation = "LINEAR"
