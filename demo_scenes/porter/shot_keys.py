# SPDX-License-Identifier: GPL-3.0-or-later
"""Keys of shots that play once: values, and where a pose table says so the speed through them."""

from collections.abc import Collection, Mapping

import bpy

from .channels import channel
from .keys import ensure_curve, set_slopes

# A key's value, or its value and its speed per second; metres or degrees.
ShotKey = float | tuple[float, float]
ShotTable = Mapping[str, Mapping[str, Mapping[int, ShotKey]]]


def key_shot(rig: bpy.types.Object, table: ShotTable, extremes: Collection[int]) -> None:
    """Key a table, control -> word -> {frame: key}; keys off the extremes are breakdowns."""
    fps = bpy.context.scene.render.fps / bpy.context.scene.render.fps_base
    for control, words in table.items():
        for word, keys in words.items():
            target = channel(control, word)
            values, slopes = {}, {}
            for frame, key in keys.items():
                value, speed = key if isinstance(key, tuple) else (key, None)
                values[frame] = target.scaled(value)
                if speed is not None:
                    slopes[frame] = target.scaled(speed) / fps
            _write(ensure_curve(rig, target), values, slopes, extremes)


def _write(
    curve: bpy.types.FCurve,
    values: Mapping[int, float],
    slopes: Mapping[int, float],
    extremes: Collection[int],
) -> None:
    """Key a curve; handles are set by hand where there is a slope per frame, else automatic."""
    curve.auto_smoothing = "CONT_ACCEL"
    points = curve.keyframe_points
    points.add(len(values))
    for point, (frame, value) in zip(points, sorted(values.items()), strict=True):
        point.co = (frame, value)
        point.interpolation = "BEZIER"
        point.handle_left_type = point.handle_right_type = "AUTO_CLAMPED"
        point.type = "EXTREME" if frame in extremes else "BREAKDOWN"
    curve.update()  # reallocates the keys
    set_slopes(curve, slopes)
