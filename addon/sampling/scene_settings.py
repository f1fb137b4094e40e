# SPDX-License-Identifier: GPL-3.0-or-later
"""What poses depend on in a scene's own settings, and how another scene gets the same.

Time remapping and the frame rate (cache files, scene time in nodes), Simplify (a surface that
is followed), the resolution, camera and clip that Follow Track projects through, gravity, units.
"""

from collections.abc import Iterator
from typing import Any

import bpy

from .curves import action_fcurves

_RENDER = (
    "fps",
    "fps_base",
    "frame_map_old",
    "frame_map_new",
    "resolution_x",
    "resolution_y",
    "pixel_aspect_x",
    "pixel_aspect_y",
    "use_simplify",
)
_SCENE = ("frame_start", "frame_end", "camera", "active_clip", "gravity", "use_gravity")
# Keyed or driven, these change from frame to frame, which a plain copy of values cannot follow.
_FOLLOWED = ("render.", "unit_settings.", *_SCENE)


def copy_settings(source: bpy.types.Scene, target: bpy.types.Scene) -> None:
    """Give `target` those settings of `source`, and its camera markers."""
    simplify = [p.identifier for p in source.render.bl_rna.properties]
    simplify = [name for name in simplify if name.startswith("simplify_")]
    _copy(source.render, target.render, (*_RENDER, *simplify))
    _copy(source.unit_settings, target.unit_settings, ("system", "scale_length"))
    _copy(source, target, _SCENE)
    for marker in source.timeline_markers:
        if marker.camera is not None:
            made = target.timeline_markers.new(marker.name, frame=marker.frame)
            made.camera = marker.camera


def animates_settings(scene: bpy.types.Scene) -> bool:
    """Whether keys, strips or drivers of the scene may change one of those settings."""
    data = scene.animation_data
    if data is None:
        return False
    if any(strip for track in data.nla_tracks for strip in track.strips):
        return True
    return any(path.startswith(_FOLLOWED) for path in _animated_paths(data))


def _animated_paths(data: Any) -> Iterator[str]:
    for driver in data.drivers:
        yield driver.data_path
    if data.action is not None:
        for curve in action_fcurves(data.action, getattr(data, "action_slot", None)):
            yield curve.data_path


def _copy(source: Any, target: Any, names: tuple[str, ...]) -> None:
    """Set what differs: setting a value makes Blender update, with many objects for long."""
    for name in names:
        value = getattr(source, name)
        if getattr(target, name) != value:
            setattr(target, name, value)
