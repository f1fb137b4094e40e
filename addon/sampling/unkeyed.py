# SPDX-License-Identifier: GPL-3.0-or-later
"""What blocks hold besides what keys and drivers play, as numbers: the same later on means that
nobody moved or reshaped them by hand.

What plays has another value on each frame that is shown, and tells of itself where its keys or its
driver stand.
"""

from collections.abc import Set
from typing import Any

import bpy
import numpy as np

from .curve_numbers import each_strip
from .curves import action_fcurves

# Each that keys or drivers play, by path and index.
Played = Set[tuple[str, int]]

_PLACING = (
    "location",
    "rotation_euler",
    "rotation_quaternion",
    "rotation_axis_angle",
    "scale",
    "delta_location",
    "delta_rotation_euler",
    "delta_rotation_quaternion",
    "delta_scale",
)
# What a camera's picture hangs on.
_LENS = (
    "type",
    "lens",
    "sensor_fit",
    "sensor_width",
    "sensor_height",
    "shift_x",
    "shift_y",
    "ortho_scale",
    "clip_start",
    "clip_end",
)


def played_of(block: Any) -> Played:
    """What keys, in strips as well, and drivers play of a block."""
    data = getattr(block, "animation_data", None)
    if data is None:
        return frozenset()
    found = {(fcurve.data_path, fcurve.array_index) for fcurve in data.drivers}
    strips = (strip for track in data.nla_tracks for strip in each_strip(track.strips))
    for player in (data, *strips):
        if player.action is not None:
            curves = action_fcurves(player.action, getattr(player, "action_slot", None))
            found |= {(each.data_path, each.array_index) for each in curves if _plays(each)}
    return found


def _plays(fcurve: Any) -> bool:
    group = fcurve.group
    return not (fcurve.mute or (group is not None and group.mute))


def number_of_place(item: bpy.types.Object, played: Played) -> int:
    """A number that tells where an object was put, and on what it hangs.

    Of an empty, its size and what it shows as well.
    """
    values = [
        value
        for name in _PLACING
        for index, value in enumerate(getattr(item, name))
        if (name, index) not in played
    ]
    parent, inverse = item.parent, np.array(item.matrix_parent_inverse)
    told: list[Any] = [
        inverse.tobytes(),
        item.parent_type,
        item.parent_bone,
        0 if parent is None else parent.session_uid,
    ]
    told += [] if ("rotation_mode", 0) in played else [item.rotation_mode]
    if item.type == "EMPTY":
        shows = item.instance_collection
        told += [item.empty_display_size, 0 if shows is None else shows.session_uid]
    return hash((*values, *told))


def number_of_shape(data: Any) -> int:
    """A number that tells of the points of a mesh, a path or a lattice, and of a camera's picture;
    0 for other data, and for none."""
    if isinstance(data, bpy.types.Mesh):
        return hash(_points(data.vertices, "co", 3))
    if isinstance(data, bpy.types.Camera):
        played = played_of(data)
        return hash(tuple(getattr(data, name) for name in _LENS if (name, 0) not in played))
    if isinstance(data, bpy.types.Lattice):
        return hash(_points(data.points, "co_deform", 3))
    if isinstance(data, bpy.types.Curve):
        return hash(tuple(map(_spline, data.splines)))
    return 0


def _spline(spline: Any) -> tuple[Any, ...]:
    bezier, told = spline.bezier_points, (spline.type, spline.use_cyclic_u)
    if len(bezier):
        names = ("co", "handle_left", "handle_right", "tilt", "radius")
        widths = (3, 3, 3, 1, 1)
        return (*told, *(_points(bezier, n, w) for n, w in zip(names, widths, strict=True)))
    return (*told, _points(spline.points, "co", 4))


def _points(points: Any, name: str, width: int) -> bytes:
    values = np.zeros(len(points) * width, dtype=np.float32)
    points.foreach_get(name, values)
    return values.tobytes()
